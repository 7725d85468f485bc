"""Faults found: what a check settles, and what is done about several of them."""

from __future__ import annotations

from dataclasses import replace

from diagnose.advice.assessor import Assessment, Assessor
from diagnose.advice.reasons import NotSafe
from diagnose.case.events import Answered, Case, Complained, Corrected, Rode
from diagnose.words.evidence_words import evidence_text
from rules.units.quantities import parse_quantity

FIGURES = {
    "front-tyre-pressure": parse_quantity("13 psi", "psi"),
    "fork-service-interval": parse_quantity("40 h", "h"),
}
TYRE = Answered("front-tyre-gauge", reading=parse_quantity("22 psi", "psi"))
HOURS = Answered("hours-fork-service", reading=parse_quantity("85 h", "h"))
NEVER_BLED = Answered("changed-never-bled", state="yes")
MANY = Case(
    {},
    FIGURES,
    (
        Complained("harsh", "front"),
        Complained("seal-weep", "front"),
        TYRE,
        NEVER_BLED,
        Answered("changed-front-wheel-out", state="yes"),
        HOURS,
        Answered("weep-which-legs", state="both"),
    ),
)
HARSH = Case({}, FIGURES, (Complained("harsh", "front"),))


def chance(made: Assessment, cause: str) -> float:
    return made.ranking.find(cause).probability


def test_a_bike_with_five_faults_starts_with_the_cheap_ones(offroad_assessor: Assessor) -> None:
    """A look at the brake below weeping seals, then tyre and bleed before one ride; oil and seals
    only after it."""
    made = offroad_assessor.assess(MANY)
    found = {fault.cause: fault for fault in made.faults}
    assert set(found) == {"front-tyre-pressure-high", "fork-air-trapped", "fork-oil-old"}
    assert all(fault.chance > 0.8 and not fault.put_right for fault in found.values())
    assert made.expected_faults > 3
    shown = evidence_text(offroad_assessor.rules, found["front-tyre-pressure-high"].shown_by, MANY)
    assert shown.endswith("22 psi: far above the target (13 psi as given)")
    assert made.plan.corrections[:3] == (
        "set-front-tyre-pressure",
        "bleed-forks",
        "change-fork-oil",
    )
    assert "replace-fork-seals" in made.plan.corrections[3:]

    assert isinstance(made.step.why, NotSafe)
    assert made.step.target == "oil-on-front-brake"
    case, done = MANY.with_event(Answered("oil-on-front-brake", "clean")), []
    while (step := offroad_assessor.assess(case).step).kind == "correct":
        done.append(step.target)
        case = case.with_event(Corrected(step.target))
    assert done == ["set-front-tyre-pressure", "bleed-forks"]
    assert step.kind == "confirm"
    after = offroad_assessor.assess(case.with_event(Rode("better")))
    assert after.step.kind != "hand-over" and after.step.target != "replace-fork-seals"
    assert {fault.cause: fault.put_right for fault in after.faults} == {
        "front-tyre-pressure-high": True,
        "fork-air-trapped": True,
        "fork-oil-old": False,
    }


def test_a_reading_against_the_manual_is_trusted_as_far_as_readings_are(
    offroad_assessor: Assessor,
) -> None:
    trust = offroad_assessor.rules.policy.reading_trust["measurement"]
    made = offroad_assessor.assess(HARSH.with_event(TYRE))
    assert trust - 0.02 < chance(made, "front-tyre-pressure-high") < 1 - (1 - trust) / 10
    made = offroad_assessor.assess(HARSH.with_event(HOURS))
    assert trust - 0.02 < chance(made, "fork-oil-old") < 1 - (1 - trust) / 10


def test_a_reading_in_order_clears(offroad_assessor: Assessor) -> None:
    before = chance(offroad_assessor.assess(HARSH), "front-tyre-pressure-high")
    right = Answered("front-tyre-gauge", reading=parse_quantity("13 psi", "psi"))
    after = chance(offroad_assessor.assess(HARSH.with_event(right)), "front-tyre-pressure-high")
    trust = offroad_assessor.rules.policy.reading_trust["measurement"]
    assert after <= before / (1 - before) * (1 - trust) / trust


def test_a_rule_of_thumb_settles_nothing_that_such_bikes_are_built_to(
    offroad_assessor: Assessor,
) -> None:
    a_little = Answered("front-tyre-gauge", reading=parse_quantity("18 psi", "psi"))
    case = replace(HARSH.with_event(a_little).with_event(HOURS), targets={})
    assert offroad_assessor.assess(case).faults == ()


def test_what_is_found_again_is_not_gone(offroad_assessor: Assessor) -> None:
    """Put right, and the gauge still says otherwise."""
    mended = HARSH.with_event(TYRE).with_event(Corrected("set-front-tyre-pressure"))
    (fault,) = offroad_assessor.assess(mended).faults
    assert fault.put_right
    (fault,) = offroad_assessor.assess(mended.with_event(TYRE)).faults
    assert not fault.put_right
    twice = mended.with_event(TYRE).with_event(Corrected("set-front-tyre-pressure"))
    (fault,) = offroad_assessor.assess(twice).faults
    assert fault.put_right
    right = Answered("front-tyre-gauge", reading=parse_quantity("13 psi", "psi"))
    (fault,) = offroad_assessor.assess(mended.with_event(TYRE).with_event(right)).faults
    assert fault.put_right


def test_a_bike_is_ridden_once_more_before_it_is_given_up(mower_assessor: Assessor) -> None:
    """The tank was empty and is full; one doubtful report is no reason to send the mower away."""
    case = Case(
        {},
        {},
        (
            Complained("no-start"),
            Answered("tank-look", state="empty"),
            Corrected("fill-up"),
            Rode("better"),
            Answered("plug-gap-reading"),
            Answered("spark-seen", state="sparks"),
            Answered("carburettor-inside", state="no"),
        ),
    )
    assert mower_assessor.assess(case).step.kind == "confirm"
    assert mower_assessor.assess(case.with_event(Rode("gone"))).step.kind == "close"
    assert mower_assessor.assess(case.with_event(Rode("same"))).step.kind != "confirm"
