"""What is wrong is said in the program's words, with what to write."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from rules.loading.loader import load_pack
from rules.problems import FileProblems
from rules.yaml_source import read_yaml_bytes

Edit = Callable[..., Path]

# words of libraries that a mechanic has no use for
FOREIGN = ("mapping", "Input should", "valid string", "token", "scalar", "block", "document start", "instance", "dictionary", "tuple", "str", "context")  # fmt: skip


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("a: b: c\n", "colon in quotes"),
        ("a:\n  b: 1\n c: 2\n", "same number of spaces"),
        ("a: 1\nb\nc: 2\n", "Write `key: value`"),
        ("a:\n  - b\n  c: 1\n", "Begin its items with '- '"),
        ("a: [b, c\nd: 1\n", "']' after the last"),
        ("a: {b: c\nd: 1\n", "'}' after the last"),
        pytest.param("a: " + "[" * 2_000, "24 levels are the most", id="deep"),
        ("a: 'b\n", "never closed"),
        ("a: @b\n", "in quotes"),
        ("a: %b\n", "in quotes"),
        ('a: "\\q"\n', "single quotes"),
        ("a: - b\n", "line of its own"),
        ("a: *\n", "in quotes"),
        ("a: 1\n---\nb: 2\n", "Take out the line '---'"),
        ("a: b\n]\n", ""),
        ("a: |x\n", ""),
        ("a: !<\n", ""),
    ],
)
def test_what_the_yaml_reader_finds(text: str, word: str) -> None:
    with pytest.raises(FileProblems) as caught:
        read_yaml_bytes(text.encode(), "our.yaml")
    (problem,) = caught.value.problems
    assert word in problem.message
    assert not [foreign for foreign in FOREIGN if foreign in problem.message]
    assert problem.line >= 1


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("    per_100: 10\n", "    per_100: lots\n", "write a number here, not a text"),
        ("    per_100: 10\n", "    per_100: 0\n", "write a number above 0"),
        ("    per_100: 10\n", "    per_100: 80\n", "write a number up to 50"),
        ("    title: Out of fuel\n", "    title: [Out]\n", "write a text here, not a list"),
        ("    title: Out of fuel\n", "    title: 3\n", "write a text here, not a number"),
        ("    title: Out of fuel\n", "    title: ''\n", "write something here"),
        ("    safety: true\n", "    safety: yes please\n", "write true or false here, not a text"),
        ("who: home mechanic", "who: anybody", "write 'home mechanic' or 'qualified technician'"),
        ("    correction: new-blade\n", "    correction: New Blade\n", "lower-case letters a to z"),
        ("shows: {no-start: virtually certain, tank", "shows: [no-start]\n    x: {tank", "write keys with their values here, such as {key: value}, not a list"),
        ("steps: [Swap it.], minutes: 20", "steps: Swap it., minutes: 20", "write a list here, such as [one, two], not a text"),
        ("steps: [Swap it.], minutes: 20", "steps: [], minutes: 20", "this needs at least 1"),
        ("shows: {no-start: virtually certain, tank-look: {", "shows: {no-start: 0.9, tank-look: {", "not a number"),
    ],
)  # fmt: skip
def test_what_does_not_fit_a_field(edited_pack: Edit, old: str, new: str, message: str) -> None:
    with pytest.raises(FileProblems) as caught:
        load_pack(edited_pack(old, new))
    told = [p for p in caught.value.problems if message in p.message]
    assert told, [str(p) for p in caught.value.problems]
    everything = " ".join(p.message for p in caught.value.problems)
    assert "Input should" not in everything and "valid" not in everything
