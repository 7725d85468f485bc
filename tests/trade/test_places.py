"""Where a complaint shows: a "no" elsewhere must not bury a fault that shows in one place."""

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.case.events import Case, read_answer, read_complaint
from diagnose.case.phases import riding_phases

MOST_NO = 7
BURIED = {  # before places were read together, each of these fell below a third
    "fork-air-trapped": ("harsh/front", "shows-braking-bumps"),
    "fork-springs-too-soft": ("diving", "shows-braking-bumps"),
    "front-tyre-pressure-low": ("heavy-steering", "shows-mid-corner"),
    "head-bearing-loose": ("knock/front", "shows-braking-bumps"),
    "rear-tyre-pressure-low": ("wallowing", "shows-mid-corner"),
}


def chance_and_place(assessor: Assessor, case: Case, cause: str) -> tuple[float, int]:
    model = assessor.model
    order = [c for c in model.rank(model.believe(case)).causes if c.relevant]
    found = next(n for n, c in enumerate(order) if c.cause == cause)
    return order[found].probability, found + 1


def with_nos(assessor: Assessor, case: Case, cause: str, place: str) -> Case:
    """The case with "no" to the other riding places, those first where the cause shows most."""
    said = {link.node: link.chances[-1] for link in assessor.rules.links if link.cause == cause}
    others = [p for p in riding_phases(assessor.rules) if p not in (place, "shows-standing-still")]
    for other in sorted(others, key=lambda p: -said.get(p, 0.0))[:MOST_NO]:
        case = case.with_event(read_answer(assessor.rules, other, "no"))
    return case


def one_place(assessor: Assessor, complaint: str, place: str) -> Case:
    rules = assessor.rules
    events = (read_complaint(rules, complaint), read_answer(rules, place, "yes"))
    return Case({}, {}, events)


@pytest.mark.parametrize(
    ("cause", "complaint"),
    [("shock-low-speed-compression-open", "squatting"), ("rear-sag-too-much", "squatting")],
)
def test_what_shows_only_on_the_power_survives_seven_times_no(
    offroad_assessor: Assessor, cause: str, complaint: str
) -> None:
    case = one_place(offroad_assessor, complaint, "shows-on-power")
    before, _ = chance_and_place(offroad_assessor, case, cause)
    after, place = chance_and_place(
        offroad_assessor, with_nos(offroad_assessor, case, cause, "shows-on-power"), cause
    )
    assert place <= 3
    assert after > before / 3


@pytest.mark.parametrize("cause", sorted(BURIED))
def test_seven_times_no_buries_no_cause_in_its_surest_place(
    offroad_assessor: Assessor, cause: str
) -> None:
    case = one_place(offroad_assessor, *BURIED[cause])
    before, _ = chance_and_place(offroad_assessor, case, cause)
    nos = with_nos(offroad_assessor, case, cause, BURIED[cause][1])
    after, _ = chance_and_place(offroad_assessor, nos, cause)
    assert before / 3 < after < before


def test_a_no_in_its_surest_place_still_speaks_against_a_cause(offroad_assessor: Assessor) -> None:
    rules = offroad_assessor.rules
    case = Case({}, {}, (read_complaint(rules, "diving"),))
    before, _ = chance_and_place(offroad_assessor, case, "fork-springs-too-soft")
    denied = case.with_event(read_answer(rules, "shows-braking-bumps", "no"))
    after, _ = chance_and_place(offroad_assessor, denied, "fork-springs-too-soft")
    assert after < 0.8 * before
