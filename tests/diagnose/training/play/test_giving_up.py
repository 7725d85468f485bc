"""What giving up throws away where a fault was found and left as it is."""

from __future__ import annotations

from diagnose.advice.assessor import Assessor
from diagnose.case.events import Answered, Case, Complained
from diagnose.diagnosis import Diagnosis
from diagnose.training.customers.guide import Guide
from diagnose.training.play.judging import Judge, View
from diagnose.training.play.moves import Correct, HandBack, HandOver, Observe
from rules.units.quantities import parse_quantity


def found_hard_tyre(offroad_assessor: Assessor, guide: Guide) -> View:
    """A front end that is harsh, and its tyre found at twice the manual's pressure."""
    events = (
        Complained("harsh", "front"),
        Answered("front-tyre-gauge", reading=parse_quantity("26 psi", "psi")),
    )
    targets = {"front-tyre-pressure": parse_quantity("13 psi", "psi")}
    case = Case({"class": "full-size", "fork": "coil-closed"}, targets, events)
    return Judge.of(offroad_assessor, guide).view(Diagnosis(offroad_assessor, case))


def test_giving_up_before_a_found_fault_is_put_right_throws_minutes_away(
    offroad_assessor: Assessor, offroad_guide: Guide
) -> None:
    view = found_hard_tyre(offroad_assessor, offroad_guide)
    assert view.is_advised(Correct("set-front-tyre-pressure", ("front-tyre-pressure-high",)))
    for move in (HandBack(), HandOver()):
        assert view.loss(move) > 0.5 * offroad_assessor.rules.policy.minutes_to_hand_over()


def test_the_work_for_a_found_fault_is_counted_once(
    offroad_assessor: Assessor, offroad_guide: Guide
) -> None:
    view = found_hard_tyre(offroad_assessor, offroad_guide)
    assert view.cost(view.advised) == view.best
    assert abs(view.best - view.advice.plan.expected_minutes) < 1e-9
    # a look that settles nothing any more costs its minutes, also while work is waiting
    idle = Observe("rear-tyre-gauge")
    assert view.loss(idle) > 0
