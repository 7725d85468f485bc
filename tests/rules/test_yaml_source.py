"""Reading YAML from strangers."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.problems import FileProblems
from rules.yaml_source import MAX_BYTES, read_yaml_bytes


def problem_of(raw: bytes) -> tuple[str, int]:
    with pytest.raises(FileProblems) as caught:
        read_yaml_bytes(raw, "f.yaml")
    first = caught.value.problems[0]
    return first.code, first.line


def test_people_write_no_and_mean_no() -> None:
    data = read_yaml_bytes(
        b"a: no\nb: on\nc: 12:30\nd: 1_0\ne: 013\nf: 25\ng: 1.5\nh: ~\n", "f"
    ).data
    assert data == {
        "a": "no", "b": "on", "c": "12:30", "d": "1_0", "e": "013", "f": 25, "g": 1.5, "h": None,
    }  # fmt: skip


def test_every_path_has_its_place() -> None:
    document = read_yaml_bytes(b"a:\n  - x\n  - {k: v}\n", "f")
    assert document.place(("a", 1, "k")) == (3, 6)
    assert document.place(("a", 1, "k", "not", "there")) == (3, 6)


@pytest.mark.parametrize(
    ("raw", "code", "line"),
    [
        (b"", "empty", 1),
        (b"# only a comment\n", "empty", 1),
        (b"a: 1\nb:\n\tc: 2\n", "tab", 3),
        (b"a: 1\nb: 2\na: 3\n", "duplicate-key", 3),
        (b"a: &x 1\nb: *x\n", "alias", 2),
        (b"a: 1\nb: \xff\xfe\n", "not-utf-8", 2),
        (b"a: [1\nb: 2\n", "yaml", 2),
        (b"a: 1\n--- \nb: 2\n", "yaml", 2),
        (b"a: !!python/object:os.system x\n", "tag", 1),
        (b"? [a]\n: b\n", "key", 1),
        (b"a: \x00\n", "yaml", 1),
        (b"[" * 40 + b"]" * 40, "too-deep", 1),
    ],
)
def test_bad_text_is_named_with_its_line(raw: bytes, code: str, line: int) -> None:
    assert problem_of(raw) == (code, line)


def test_alias_bombs_never_unfold() -> None:
    bomb = b"a: &a [x,x]\n" + b"".join(
        b"%c: &%c [*%c,*%c]\n" % (c + 1, c + 1, c, c) for c in range(97, 118)
    )
    assert problem_of(bomb) == ("alias", 2)


def test_a_huge_text_is_not_parsed() -> None:
    assert problem_of(b"a: b\n" * (MAX_BYTES // 5 + 1))[0] == "too-large"


@given(st.binary(max_size=300))
def test_any_bytes_give_data_or_problems(raw: bytes) -> None:
    try:
        document = read_yaml_bytes(raw, "f")
    except FileProblems as error:
        assert all(p.line >= 1 and p.message for p in error.problems)
    else:
        assert document.positions[()] >= (1, 1)


@given(st.text(alphabet="ab:-[]{}#&*!|>'\"\n ,?%@", max_size=80))
def test_any_yamlish_text_gives_data_or_problems(text: str) -> None:
    try:
        read_yaml_bytes(text.encode(), "f")
    except FileProblems as error:
        assert error.problems
