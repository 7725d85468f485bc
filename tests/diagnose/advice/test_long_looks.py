"""Before a long look for danger comes a short one that may spare it."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.advice.planning import LONGEST_TELLING, takes_a_ride
from diagnose.advice.reasons import Dangerous, MayClear
from diagnose.case.events import Answered, Case
from diagnose.words.step_words import why_text
from rules.rulebase import RuleBase

MakeCase = Callable[..., Case]
LONG = "parts-match"


def test_a_short_look_comes_before_the_long_one_it_may_spare(
    offroad: RuleBase, offroad_assessor: Assessor, make_case: MakeCase
) -> None:
    case = make_case(offroad, "sticky-stroke/front", changed_front_wheel_out="yes")
    first = offroad_assessor.assess(case).step
    assert first.why == MayClear(LONG)
    assert first.constraint == "safety first"
    assert first.minutes <= LONGEST_TELLING < offroad.observations[LONG].minutes
    assert not takes_a_ride(offroad, first.target)
    assert offroad.observations[LONG].ask in why_text(offroad, first)
    normal = offroad.observations[first.target].normal
    cleared = offroad_assessor.assess(case.with_event(Answered(first.target, normal)))
    assert cleared.step.target != LONG


@pytest.mark.parametrize("state", ["off", None])
def test_the_long_look_is_made_where_nothing_short_spares_it(
    offroad: RuleBase, offroad_assessor: Assessor, make_case: MakeCase, state: str | None
) -> None:
    """Nobody rides before: told that it was apart, and the short ones off or not known."""
    case = make_case(
        offroad, "sticky-stroke/front", changed_front_wheel_out="yes",
        changed_suspension_apart="yes",
    )  # fmt: skip
    for _ in range(8):
        step = offroad_assessor.assess(case).step
        if isinstance(step.why, Dangerous):
            break
        assert isinstance(step.why, MayClear)
        worst = list(offroad.observations[step.target].states)[-1]
        case = case.with_event(Answered(step.target, worst if state else None))
    assert (step.target, step.constraint) == (LONG, "safety first")
