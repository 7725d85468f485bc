"""The next step, and what outranks the arithmetic."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from diagnose.case import (
    Answered,
    Case,
    Complained,
    Corrected,
    Declined,
    Insisted,
    Rode,
    read_answer,
)
from diagnose.interview import Workshop
from diagnose.planning import Step
from rules.loader import load_pack
from rules.rulebase import RuleBase

MakeCase = Callable[..., Case]


def step(shop: Workshop, case: Case) -> Step:
    return shop.assess(case).step


def test_everything_starts_with_the_complaint(mower_shop: Workshop) -> None:
    assert step(mower_shop, Case()).kind == "complain"


def test_the_cheap_telling_check_comes_first(
    mower: RuleBase, mower_shop: Workshop, make_case: MakeCase
) -> None:
    first = step(mower_shop, make_case(mower, "no-start"))
    assert (first.kind, first.target) == ("inspect", "tank-look")
    assert "fill with fresh fuel" in first.why


def test_what_is_plain_is_put_right_and_ridden_before_anything_else(
    mower: RuleBase, mower_shop: Workshop, make_case: MakeCase
) -> None:
    case = make_case(mower, "no-start", stood_all_winter="no", tank_look="empty")
    first = step(mower_shop, case)
    assert (first.kind, first.target) == ("correct", "fill-up")
    case = case.with_event(Corrected("fill-up"))
    ride = step(mower_shop, case)
    assert (ride.kind, ride.constraint) == ("confirm", "one change at a time")
    proven = mower_shop.assess(case.with_event(Rode("gone")))
    assert proven.step.kind == "close"
    assert proven.plan.corrections == ()
    after = step(mower_shop, case.with_event(Rode("same")))
    assert after.kind in ("ask", "inspect", "measure")


def test_nothing_is_opened_while_an_outside_cause_can_be_checked(
    edited_pack: Callable[..., Path], make_case: MakeCase
) -> None:
    """Even where opening it would be the cheaper look by far."""
    quick = load_pack(
        edited_pack("    minutes: 30\n    opens: true", "    minutes: 1\n    opens: true")
    )
    case = make_case(quick, "no-start", tank_look="fresh", stood_all_winter="yes")
    assessment = Workshop(quick).assess(case)
    assert assessment.ranking.causes[0].cause == "carburettor-gummed"
    best = max(assessment.options, key=lambda option: option.net)
    assert best.observation == "carburettor-inside"
    assert assessment.step.target != "carburettor-inside"
    assert assessment.step.constraint == "outside before inside"
    assert "Nothing is opened while plug worn" in assessment.step.why


def test_it_is_opened_once_the_outside_is_cleared(
    mower: RuleBase, mower_shop: Workshop, make_case: MakeCase
) -> None:
    case = make_case(
        mower, "no-start", tank_look="fresh", stood_all_winter="yes",
        plug_gap_reading="0.6 mm", spark_seen="sparks",
    )  # fmt: skip
    opened = step(mower_shop, case)
    assert opened.target in ("carburettor-inside", "clean-carburettor")


def test_danger_is_looked_at_before_anybody_rides(
    mower: RuleBase, mower_shop: Workshop, make_case: MakeCase
) -> None:
    first = step(mower_shop, make_case(mower, "vibration/deck"))
    assert (first.target, first.constraint) == ("blade-wobble", "safety first")


def test_a_do_not_ride_is_put_right_and_looked_at_again(
    mower: RuleBase, mower_shop: Workshop, make_case: MakeCase
) -> None:
    case = make_case(mower, "vibration/deck", blade_wobble="yes")
    first = step(mower_shop, case)
    assert (first.kind, first.target, first.constraint) == ("correct", "new-blade", "safety first")
    case = case.with_event(Corrected("new-blade"))
    again = step(mower_shop, case)
    assert (again.kind, again.target) == ("inspect", "blade-wobble")
    case = case.with_event(Answered("blade-wobble", state="no"))
    assert step(mower_shop, case).kind == "confirm"


def test_a_do_not_ride_that_cannot_be_put_right_goes_to_a_specialist(
    mower: RuleBase, mower_shop: Workshop, make_case: MakeCase
) -> None:
    case = make_case(mower, "vibration/deck", blade_wobble="yes")
    declined = case.with_event(Declined("new-blade"))
    assert step(mower_shop, declined).kind == "hand-over"


def test_answers_that_do_not_fit_are_asked_about_until_they_stand(
    mower: RuleBase, mower_shop: Workshop, make_case: MakeCase
) -> None:
    case = make_case(mower, "no-start", spark_seen="sparks", plug_gap_reading="4 mm")
    again = step(mower_shop, case)
    assert (again.kind, again.target) == ("check-again", "empty-yet-sparks-wide")
    assert step(mower_shop, case.with_event(Insisted(again.target))).kind != "check-again"
    mended = case.with_event(read_answer(mower, "plug-gap-reading", "0.6 mm"))
    assert step(mower_shop, mended).kind != "check-again"


def test_a_declined_correction_is_not_asked_for_again(
    mower: RuleBase, mower_shop: Workshop, make_case: MakeCase
) -> None:
    case = make_case(mower, "no-start", stood_all_winter="no", tank_look="empty")
    declined = case.with_event(Declined("fill-up"))
    assert step(mower_shop, declined).target != "fill-up"


def test_what_could_not_be_seen_is_not_asked_twice(mower: RuleBase, mower_shop: Workshop) -> None:
    case = Case(events=(Complained("no-start"),))
    seen = set()
    for _ in range(30):
        current = step(mower_shop, case)
        if current.kind in ("correct", "hand-over"):
            break
        assert current.target not in seen
        seen.add(current.target)
        case = case.with_event(Answered(current.target))
    else:
        pytest.fail("never came to an end")


@pytest.mark.parametrize("complaint", ["no-start", "vibration", "vibration/handle"])
def test_a_rider_who_knows_nothing_still_gets_to_an_end(
    mower: RuleBase, mower_shop: Workshop, make_case: MakeCase, complaint: str
) -> None:
    case = make_case(mower, complaint)
    for _ in range(40):
        current = step(mower_shop, case)
        if current.kind in ("close", "hand-over"):
            return
        if current.kind == "correct":
            case = case.with_event(Declined(current.target))
        else:
            case = case.with_event(Answered(current.target))
    pytest.fail("never came to an end")


def test_a_rule_too_wide_for_the_engine_is_named_with_its_line(
    edited_pack: Callable[..., Path],
) -> None:
    leaves = ", ".join(
        f"{{fact: {name}, is: {state}}}"
        for name, state in [
            ("hit-a-stone", '"yes"'), ("stood-all-winter", '"yes"'), ("tank-look", "stale"),
            ("spark-seen", "none"), ("blade-wobble", '"yes"'), ("engine", "petrol"),
            ("size", "small"),
        ]
    )  # fmt: skip
    folder = edited_pack('{fact: blade-wobble, is: "yes"}\n', f"{{all: [{leaves}]}}\n")
    rules = load_pack(folder)
    with pytest.raises(ValueError, match=r"pack.yaml:\d+:1: error\[engine\] at rules.blade-loose"):
        Workshop(rules)
