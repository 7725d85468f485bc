"""Doubts about packs that load. What each kind finds is in `test_seeded_mistakes`."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from diagnose.authoring.pack_review import review, review_packs, told_apart
from rules.loading.loader import load_pack
from rules.problems import FileProblems
from rules.rulebase import RuleBase

Edit = Callable[..., Path]
SHOP = """
pack: {id: shop, title: Shop, version: "1", format: 1, about: Invented., builds_on: mower}
causes:
  no-fuel-either:
    title: Tank empty again
    group: fuel
    what: Shows what the tank being empty shows.
    per_100: 1
    shows: {no-start: virtually certain, tank-look: {empty: virtually certain}}
    shows_source: made-up
    correction: fill-up
    needs: {engine: petrol}
    source: made-up
"""


def test_a_tidy_pack_raises_only_what_is_really_doubtful(mower: RuleBase) -> None:
    assert {(doubt.code, doubt.field) for doubt in review(mower)} == {
        ("no-caution", "observations.carburettor-inside.opens"),
        ("no-caution", "corrections.clean-carburettor.opens"),
    }


def test_a_pair_listed_as_not_separable_is_no_doubt(edited_pack: Edit) -> None:
    same = "{no-start: likely, tank-look: {stale: very likely}, stood-all-winter: very likely, sat-and-stale: likely}"
    folder = edited_pack(
        "{no-start: virtually certain, tank-look: {empty: virtually certain}}\n",
        f"{same}\n    not_separable_from: [stale-fuel]\n",
    )
    text = (folder / "pack.yaml").read_text(encoding="utf-8")
    assert "not_separable_from" in text
    assert "not-told-apart" not in {doubt.code for doubt in review(load_pack(folder))}


def test_an_entry_may_say_why_it_does_without_a_caution(edited_pack: Edit) -> None:
    """A word that only sounds hazardous is named with the reason; the caution must exist."""
    oiled = "{title: Charge the battery, parts_list: [Fresh oil],"
    excused = f"{oiled} no_need_of: {{plug-lead: the blade is not near}},"
    field = "corrections.charge.parts_list[0]"
    loaded = load_pack(edited_pack("{title: Charge the battery,", oiled))
    assert ("no-caution", field) in {(doubt.code, doubt.field) for doubt in review(loaded)}
    loaded = load_pack(edited_pack("{title: Charge the battery,", excused))
    assert field not in {doubt.field for doubt in review(loaded)}
    with pytest.raises(FileProblems, match="'gloves' is not defined"):
        load_pack(
            edited_pack("{title: Charge the battery,", excused.replace("plug-lead", "gloves"))
        )


def test_telling_apart_goes_both_ways(mower: RuleBase) -> None:
    names = list(mower.causes)
    apart = told_apart(mower, names)
    assert (apart == apart.T).all()
    assert not apart.diagonal().any()
    assert apart[names.index("no-fuel"), names.index("stale-fuel")]


def test_doubts_say_where(mower: RuleBase) -> None:
    doubt = review(mower)[0]
    assert str(doubt).startswith("mower/pack.yaml:")
    origin = mower.origin("observations", "carburettor-inside", "opens")
    assert (doubt.line, doubt.column) == (origin.line, origin.column)


def test_of_two_packs_the_upper_one_is_told_to_mend_it(edited_pack: Edit, tmp_path: Path) -> None:
    """The lower one was tidy; and a pack that only adds is not told of the lower one's doubts."""
    folder = tmp_path / "shop"
    folder.mkdir()
    (folder / "shop.yaml").write_text(SHOP, encoding="utf-8")
    found = review_packs((edited_pack("module: tests}", "module: tests}"), folder))
    doubt = next(doubt for doubt in found if doubt.code == "not-told-apart")
    assert doubt.file == "shop/shop.yaml"
    assert "nothing tells it from no-fuel" in doubt.message
