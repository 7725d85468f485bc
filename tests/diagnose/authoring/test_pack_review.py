"""Doubts about packs that load. What each kind finds is in `test_seeded_mistakes`."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from diagnose.authoring.pack_review import review, review_packs, told_apart
from rules.loading.loader import load_pack
from rules.problems import FileProblems
from rules.rulebase import RuleBase
from tests.places import change_pack

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
        ("counted-twice", "rules.stood-and-stale.then.finding.sat-and-stale"),
    }


def test_a_group_of_one_is_named_with_what_was_meant(edited_pack: Edit, tmp_path: Path) -> None:
    below = edited_pack("module: tests}", "module: tests}")
    shop = tmp_path / "shop"
    shop.mkdir()
    (shop / "a.yaml").write_text(SHOP.replace("group: fuel", "group: feul"), encoding="utf-8")
    (said,) = [d for d in review_packs((below, shop)) if d.code == "lone-group"]
    assert said.field == "causes.no-fuel-either.group"
    assert "'feul'; did you mean 'fuel'?" in said.message
    (shop / "a.yaml").write_text(SHOP, encoding="utf-8")
    assert "lone-group" not in {d.code for d in review_packs((below, shop))}


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


def test_two_faults_concluded_at_once_need_a_contradiction(edited_pack: Edit) -> None:
    folder = change_pack(
        edited_pack("module: tests}", "module: tests}"),
        ('states: {no: "no", yes: "yes"}\n    background: very unlikely', 'states: {no: "no", yes: "yes", long: long ago}\n    background: {yes: very unlikely, long: very unlikely}'),
        ("      sat-and-stale: likely\n", "      sat-and-stale: {yes: likely}\n"),
        ("rules:\n", "rules:\n  hit:\n    when: {fact: hit-a-stone, is: yes}\n    then: {finding: {sat-and-stale: long}}\n    source: made-up\n"),
    )  # fmt: skip
    (said,) = [d for d in review(load_pack(folder)) if d.code == "contradictory"]
    assert said.field == "rules.stood-and-stale.then.finding.sat-and-stale"
    assert "hit concludes 'long'" in said.message
    told = "  both:\n    when: {all: [{fact: hit-a-stone, is: yes}, {fact: tank-look, is: stale}]}\n    then: {contradiction: One of them., check: [hit-a-stone, tank-look]}\n    source: made-up\n"
    change_pack(folder, ("rules:\n", f"rules:\n{told}"))
    assert "contradictory" not in {d.code for d in review(load_pack(folder))}


def test_states_that_nothing_leads_to(edited_pack: Edit) -> None:
    folder = change_pack(
        edited_pack("module: tests}", "module: tests}"),
        ("states: {equal: equal, unequal: unequal}\n    background: very unlikely", "states: {equal: equal, unequal: unequal, gone: gone}\n    background: {unequal: very unlikely, gone: very unlikely}"),
        ("heights-unequal: very likely}", "heights-unequal: {unequal: very likely}}"),
        ("narrow: too narrow, wide: too wide}", "narrow: too narrow, wide: too wide, split: split}"),
        ("background: {narrow: very unlikely, wide: very unlikely}", "background: {narrow: very unlikely, wide: very unlikely, split: very unlikely}"),
    )  # fmt: skip
    never = {d.field: d.message for d in review(load_pack(folder)) if d.code == "never"}
    assert never == {
        "findings.heights-unequal.states.gone": "no rule concludes 'gone'; write one, or take the state out",
        "observations.plug-gap-reading.states.split": "no band gives 'split'; write one, or take the state out",
    }
