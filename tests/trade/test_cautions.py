"""Work that can hurt somebody carries its cautions, and nobody rides below an oily leg unseen."""

from __future__ import annotations

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.case.events import Case, Complained, read_answer
from rules.rulebase import RuleBase

RIDER_ONLY = {
    "warm-the-oil", "move-rider-forward", "centre-rider", "loosen-grip", "free-the-legs", "grip-with-knees",
}  # fmt: skip


def test_every_correction_at_the_bike_puts_the_manual_first(offroad: RuleBase) -> None:
    without = {key for key, c in offroad.corrections.items() if "manual-first" not in c.cautions}
    assert without == RIDER_ONLY


@pytest.mark.parametrize(
    ("part", "cautions"),
    [
        ("fork oil", {"brake-oil", "used-oil", "fork-cap-load"}),
        ("shock oil", {"brake-oil", "used-oil", "gas", "licensed-work"}),
        ("brake cleaner", {"solvent"}),
    ],
)
def test_work_with_oil_or_solvent_carries_what_goes_with_it(
    offroad: RuleBase, part: str, cautions: set[str]
) -> None:
    work = {
        key: entry
        for key, entry in offroad.corrections.items()
        if part in (*entry.tools, *entry.parts_list) and (entry.opens or part == "brake cleaner")
    }
    assert work
    assert {key for key, entry in work.items() if not cautions <= set(entry.cautions)} == set()


@pytest.mark.parametrize(
    "caution", ["used-oil", "brake-fluid", "solvent", "heating", "licensed-work"]
)
def test_what_hurts_later_is_said_too(offroad: RuleBase, caution: str) -> None:
    assert any(caution in entry.cautions for entry in offroad.corrections.values())


@pytest.mark.parametrize(
    "name",
    [
        "front-push-down-sticks", "rear-push-down-sticks", "front-bounce-test", "rear-bounce-test",
        "balance-push-test", "rear-squeak", "shock-noise-when-pumped", "weep-ring-or-streak",
    ],
)  # fmt: skip
def test_a_push_with_both_wheels_down_needs_a_hand_and_no_stand(
    offroad: RuleBase, name: str
) -> None:
    cautions = offroad.observations[name].cautions
    assert "held-upright" in cautions and "stand" not in cautions


def test_an_arm_that_stays_bolted_on_is_not_said_to_drop(offroad: RuleBase) -> None:
    looks = {key for key, entry in offroad.observations.items() if "arm-support" in entry.cautions}
    assert "linkage-eases-with-nuts" not in looks
    assert {"rear-arm-drop-linkage-on", "rear-arm-drop-alone", "linkage-strip-look"} <= looks


def test_the_first_ride_after_any_work_is_spoken_of_alike(offroad: RuleBase) -> None:
    assert "slow-first-ride" in offroad.corrections["set-front-liner"].cautions
    assert "chassis" not in offroad.cautions["slow-first-ride"].text


@pytest.mark.parametrize("axle", ["front", "rear"])
def test_nobody_rides_below_a_weeping_seal_until_the_brake_was_looked_at(
    offroad_assessor: Assessor, offroad: RuleBase, axle: str
) -> None:
    case = Case(events=(Complained("seal-weep", axle),))
    made = offroad_assessor.assess(case)
    assert made.bans
    assert (made.step.target, made.step.constraint) == (f"oil-on-{axle}-brake", "safety first")

    def bans(state: str) -> int:
        answer = read_answer(offroad, f"oil-on-{axle}-brake", state)
        return len(offroad_assessor.assess(case.with_event(answer)).bans)

    # oil on the brake forbids it twice: for the brake, and for the leak that brought it there
    assert (bans("clean"), bans("near"), bans("on-brake"), bans("dont-know")) == (0, 0, 2, 1)


@pytest.mark.parametrize(
    ("observation", "state"),
    [("seal-wipe-and-ride", "film"), ("weep-which-legs", "one"), ("fork-oil-start", "tube")],
)
def test_a_weep_that_is_only_seen_bars_riding_as_well(
    offroad_assessor: Assessor, offroad: RuleBase, observation: str, state: str
) -> None:
    case = Case(events=(Complained("harsh", "front"), read_answer(offroad, observation, state)))
    made = offroad_assessor.assess(case)
    assert [ban.rule for ban in made.bans if hasattr(ban, "rule")] == ["front-weep-brake-not-seen"]
    assert made.step.target == "oil-on-front-brake"


def test_a_bike_that_must_not_be_ridden_is_not_ridden_for_a_test(
    offroad_assessor: Assessor, offroad: RuleBase
) -> None:
    """One leg weeps, nobody can say whether the brake is oily, and nothing else is found."""
    said = {"weep-which-legs": "one", "oil-on-front-brake": "dont-know"}
    case = Case(events=(Complained("seal-weep", "front"),))
    for _ in range(12):
        made = offroad_assessor.assess(case)
        assert made.bans
        assert made.step.kind != "ride-test", made.step
        if made.step.target not in offroad.observations:
            break
        entry = offroad.observations[made.step.target]
        normal = "dont-know" if entry.kind == "measurement" else entry.normal
        answer = said.get(made.step.target, normal)
        case = case.with_event(read_answer(offroad, made.step.target, answer))
