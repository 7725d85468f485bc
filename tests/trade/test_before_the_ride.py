"""What is looked at before anybody rides, and what nobody takes apart again to see it."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from diagnose.advice.assessor import Assessment, Assessor
from diagnose.advice.planning import OBSERVING
from diagnose.case.events import (
    Answered,
    Asking,
    Case,
    Corrected,
    read_answer,
    read_complaint,
)
from diagnose.findings.concluding import Raised
from rules.rulebase import RuleBase

BIKE = {"class": "full-size", "fork": "coil-closed", "rear": "linkage"}
Told = Callable[..., Assessment]


@pytest.fixture
def told(offroad_assessor: Assessor) -> Told:
    """What a workshop is advised once this was told and done; names with _ for -."""

    def assess(complaint: str, *events: Answered | Corrected, **answers: str) -> Assessment:
        rules = offroad_assessor.rules
        said = [read_answer(rules, key.replace("_", "-"), text) for key, text in answers.items()]
        felt = read_complaint(rules, complaint)
        return offroad_assessor.assess(Case(BIKE, {}, (Asking("workshop"), felt, *said, *events)))

    return assess


def test_rear_sag_is_measured_before_the_first_ride_for_a_rear_that_bottoms(told: Told) -> None:
    """The tyre was hard and is set; with the sag unmeasured nobody rides yet."""
    tyre = Corrected("set-rear-tyre-pressure")
    made = told("bottoming/rear", tyre, rear_tyre_gauge="22 psi")
    assert made.step.target == "rear-race-sag-measured"
    sag = Answered("rear-race-sag-measured")
    assert told("bottoming/rear", tyre, sag, rear_tyre_gauge="22 psi").step.kind == "confirm"


def test_sag_that_is_no_suspect_holds_up_no_ride(told: Told) -> None:
    made = told("noise/rear", Corrected("set-rear-tyre-pressure"), rear_tyre_gauge="22 psi")
    assert made.step.target != "rear-race-sag-measured"


def test_play_at_the_rear_is_looked_for_before_the_brake_job_and_not_after_it(
    told: Told, offroad: RuleBase
) -> None:
    """A rear that knocks, and oil on its brake: all looks for danger, the work, the ride."""
    case = told("knock/rear", oil_on_rear_brake="on-brake").belief.case
    steps: list[str] = []
    made = told("knock/rear", oil_on_rear_brake="on-brake")
    assessor = Assessor(offroad)
    while made.step.kind != "confirm":
        step = made.step
        steps.append(step.target)
        if step.kind == "correct":
            case = case.with_event(Corrected(step.target))
        else:
            assert step.kind in OBSERVING.values()
            entry = offroad.observations[step.target]
            state = None if entry.unit else entry.normal
            case = case.with_event(Answered(step.target, state))
        made = assessor.assess(case)
    work = steps.index("clean-rear-brake")
    assert "rear-wheel-rock" in steps[:work]
    assert steps[work + 1 :] == ["oil-on-rear-brake"]


def test_a_wheel_that_rocks_is_put_right_without_looking_for_all_that_rocks_it(
    told: Told,
) -> None:
    """What the same look shows is told by the next look at it, after the work."""
    answers = {"rear_wheel_spin": "smooth", "rear_axle_check": "holds"}
    made = told("knock/rear", rear_wheel_rock="all-round", **answers)
    assert made.step.target == "replace-rear-wheel-bearings"


def test_nothing_is_opened_on_a_brake_that_turns_free(told: Told) -> None:
    held = {"front_brake_spin": "drags", "front_brake_let_off": "at-master"}
    work = Corrected("let-front-brake-return")
    spun = told("harsh/front", work, **held)
    assert spun.step.target == "front-brake-spin"
    free = told("harsh/front", work, Answered("front-brake-spin", "free"), **held)
    assert not free.bans
    assert "front-brake-let-off" not in {option.observation for option in free.options}
    still = told("harsh/front", work, Answered("front-brake-spin", "drags"), **held)
    assert still.step.kind != "confirm"


def test_a_fork_is_not_opened_again_to_see_its_new_springs(told: Told) -> None:
    broken = told("bottoming/front", fork_spring_look="broken")
    assert broken.step.target == "replace-fork-springs"
    mended = told("bottoming/front", Corrected("replace-fork-springs"), fork_spring_look="broken")
    assert not [ban for ban in mended.bans if isinstance(ban, Raised)]
    assert mended.step.target != "fork-spring-look"


def test_a_brake_freed_since_it_ran_hot_is_no_clash(told: Told) -> None:
    hot = {
        "rear_disc_hot": "hot",
        "rear_brake_spin": "drags",
        "worse_as_ride_goes_on": "no",
    }
    free = Answered("rear-brake-spin", "free")
    assert told("harsh/rear", free, **hot).step.kind == "check-again"
    assert told("harsh/rear", Corrected("free-rear-brake"), free, **hot).step.kind != "check-again"
