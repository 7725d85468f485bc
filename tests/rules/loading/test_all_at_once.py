"""Mistakes that do not depend on each other are told in one run."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from rules.loading.loader import load_pack
from rules.problems import FileProblems
from tests.places import change_pack

Edit = Callable[..., Path]


def messages(folder: Path) -> list[str]:
    with pytest.raises(FileProblems) as caught:
        load_pack(folder)
    return [str(problem) for problem in caught.value.problems]


def test_shape_references_quantities_and_strengths_in_one_run(edited_pack: Edit) -> None:
    folder = change_pack(
        edited_pack("    title: Out of fuel\n", "    titel: Out of fuel\n"),
        ("correction: new-plug", "correction: new-plugs"),
        ("limits: [0 mm, 5 mm]", "limits: [0 mm, 5 bar]"),
        ("spark-seen: {none: about as likely as not}", "spark-seen: {none: often}"),
        ("cautions: [plug-lead]\n", "cautions: [plug-lid]\n"),
    )
    found = "\n".join(messages(folder))
    for word in ("titel", "'new-plugs'", "bar", "'often' is not on the scale", "'plug-lid'"):
        assert word in found, (word, found)


def test_an_entry_with_a_slip_is_not_also_called_missing(edited_pack: Edit) -> None:
    """What names it is right; only the slip itself is told."""
    folder = edited_pack(
        "new-plug: {title: Fit a new plug,", "new-plug: {titel: Fit a new plug, colour: red,"
    )
    found = messages(folder)
    assert {line.split(" at ")[1].split(":")[0] for line in found} == {
        "corrections.new-plug.titel",
        "corrections.new-plug.colour",
        "corrections.new-plug.title",
    }
    folder = edited_pack("    title: Will not start\n", "")
    assert len(messages(folder)) == 1
    folder = edited_pack("    title: Shakes\n", "")  # a complaint with places
    assert len(messages(folder)) == 1


def test_a_file_that_cannot_be_read_does_not_hide_slips_in_the_others(edited_pack: Edit) -> None:
    folder = edited_pack("    title: Out of fuel\n", "    titel: Out of fuel\n")
    (folder / "second.yaml").write_text("cautions:\n  a: b: c\n", encoding="utf-8")
    found = messages(folder)
    assert any("second.yaml:2:" in line for line in found)
    assert any("titel" in line for line in found)
    assert not any("is not defined" in line for line in found)


def test_slips_in_changes_and_in_own_entries_come_together(
    edited_pack: Edit, tmp_path: Path
) -> None:
    below = edited_pack("module: tests}", "module: tests}")
    shop = tmp_path / "shop"
    shop.mkdir()
    (shop / "pack.yaml").write_text(
        'pack: {id: shop, title: Shop, version: "1", format: 1, about: Invented., builds_on: mower}\n'
        "changes:\n  causes:\n    no-fool: {set: {per_100: 2}, reason: So., source: made-up}\n"
        "    plug-worn: {set: {correction: new-plugs}, reason: So., source: made-up}\n"
        "cautions:\n  own: {txt: Mind it., source: made-up}\n",
        encoding="utf-8",
    )
    from rules.loading.loader import load_packs

    with pytest.raises(FileProblems) as caught:
        load_packs((below, shop))
    found = "\n".join(str(problem) for problem in caught.value.problems)
    for word in ("'no-fool'", "'new-plugs' is not defined", "txt"):
        assert word in found, found
