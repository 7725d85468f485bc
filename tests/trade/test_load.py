"""Luggage: where it sits comes before preload, and a deep sag does not speak for the spring."""

from __future__ import annotations

from pathlib import Path

import pytest

from diagnose.advice.assessor import Assessment, Assessor
from diagnose.case.events import Case, Corrected, read_answer, read_complaint, read_target
from rules.loading.loader import load_pack
from rules.rulebase import RuleBase

LOAD, SAG = "load-too-much-or-far-back", "rear-sag-too-much"
DEEP = ("rear-race-sag-measured=98 mm",)
HEAVY_BEHIND = ("changed-rider-or-load=yes", "load-carried=30 kg", "load-place=high-behind")


def loaded(shop: Assessor, *said: str, complaints: str = "wallowing squatting",
           repacked: bool = False, after: tuple[str, ...] = ()) -> Assessment:  # fmt: skip
    """A touring bike whose manual prints 75 mm of rider sag, with answers such as `a=b`."""
    felt = [read_complaint(shop.rules, name) for name in complaints.split()]
    told = [read_answer(shop.rules, *text.split("=")) for text in said]
    done = [Corrected("repack-load")] if repacked else []
    later = [read_answer(shop.rules, *text.split("=")) for text in after]
    sag = dict([read_target(shop.rules, "rear-race-sag", "75 mm")])
    return shop.assess(Case({"class": "adventure"}, sag, (*felt, *told, *done, *later)))


def chance(found: Assessment, cause: str) -> float:
    return found.ranking.find(cause).probability


@pytest.mark.parametrize(
    "known",
    [HEAVY_BEHIND, HEAVY_BEHIND[::2], (*HEAVY_BEHIND, *DEEP), (HEAVY_BEHIND[2], *DEEP)],
    ids=["told", "place", "and deep", "only place and deep"],
)
@pytest.mark.parametrize("complaints", ["wallowing squatting", "wallowing pushing", "squatting"])
def test_a_load_far_back_is_repacked_before_any_preload_is_wound_on(
    offroad_assessor: Assessor, known: tuple[str, ...], complaints: str
) -> None:
    found = loaded(offroad_assessor, *known, complaints=complaints)
    assert (found.step.kind, found.step.target) == ("correct", "repack-load")
    order = found.plan.corrections
    assert "set-rear-sag" not in order[: order.index("repack-load")]


@pytest.mark.parametrize("told", [HEAVY_BEHIND[:1], HEAVY_BEHIND[:2], (*HEAVY_BEHIND[:2], *DEEP)])
def test_where_the_luggage_sits_is_looked_at_before_any_work(
    offroad_assessor: Assessor, told: tuple[str, ...]
) -> None:
    step = loaded(offroad_assessor, *told).step
    assert (step.target, step.minutes) == ("load-place", 0.5)


@pytest.mark.parametrize("known", [HEAVY_BEHIND[:2], HEAVY_BEHIND])
def test_a_deep_sag_does_not_speak_against_a_load(
    offroad_assessor: Assessor, known: tuple[str, ...]
) -> None:
    without = chance(loaded(offroad_assessor, *known), LOAD)
    assert chance(loaded(offroad_assessor, *known, *DEEP), LOAD) >= without


def test_without_luggage_a_deep_sag_is_a_fault_found(offroad_assessor: Assessor) -> None:
    found = loaded(offroad_assessor, "load-carried=0 kg", *DEEP)
    assert [fault.cause for fault in found.faults] == [SAG]


def test_once_repacked_a_deep_sag_is_set_by_the_preload(offroad_assessor: Assessor) -> None:
    found = loaded(offroad_assessor, *HEAVY_BEHIND, *DEEP, repacked=True, after=DEEP)
    assert [fault.cause for fault in found.faults if not fault.put_right] == [SAG]


def test_next_to_nothing_high_up_is_no_fault(offroad_assessor: Assessor) -> None:
    assert not loaded(offroad_assessor, "load-carried=2 kg", "load-place=high-behind").faults


def test_repacking_and_preload_are_two_changes(offroad: RuleBase) -> None:
    repack, preload = offroad.corrections["repack-load"], offroad.corrections["set-rear-sag"]
    assert "preload" not in repack.title
    assert not any("spanner" in tool for tool in repack.tools)
    assert "luggage on" in " ".join(preload.steps)


@pytest.mark.parametrize(
    "name", ["rear-race-sag-measured", "front-race-sag-measured", "rear-static-sag-measured"]
)
def test_a_sag_question_says_whether_luggage_is_on(offroad: RuleBase, name: str) -> None:
    entry = offroad.observations[name]
    assert "luggage" in entry.ask and "luggage" in " ".join(entry.how)


def test_nobody_lifts_a_loaded_bike_by_its_rack(offroad: RuleBase) -> None:
    told = " ".join(offroad.observations["load-place"].how)
    assert "lift the rear" not in told
    assert "nothing by the rack" in told


def test_a_hand_wheel_is_turned_without_a_spanner(offroad: RuleBase) -> None:
    work = offroad.corrections["set-rear-sag"]
    steps = " ".join(work.steps)
    assert steps.index("hand wheel") < steps.index("lock ring with the proper spanner")
    assert any("unless it has a hand wheel" in tool for tool in work.tools)


@pytest.mark.parametrize(
    "section", ["causes: load-too-much-or-far-back", "observations: load-place"]
)
def test_a_shop_may_switch_off_what_a_sag_reading_is_held_beside(
    tmp_path: Path, section: str
) -> None:
    kind, name = section.split(": ")
    (tmp_path / "a.yaml").write_text(
        "pack: {id: shop, title: Shop, version: '1', about: Ours., format: 1, builds_on: offroad}\n"
        "sources: {ours: {kind: memory, title: invented}}\n"
        f"switched_off: {{{kind}: {{{name}: {{reason: No luggage here., source: ours}}}}}}\n",
        "utf-8",
    )
    rules = load_pack(tmp_path)
    beside = rules.observations["rear-race-sag-measured"].unsettled_by
    assert set(beside) == {"load-carried", "load-place"} - {name}
    assert name not in getattr(rules, kind)
