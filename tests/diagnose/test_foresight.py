"""What answers would do, against giving those answers."""

from __future__ import annotations

import pytest

from diagnose.case import Answered, Case, Complained, Corrected, Rode
from diagnose.foresight import foresee, outcomes, swings
from diagnose.interview import Workshop

NO_START = Case({}, {}, (Complained("no-start"),))
AFTER_WORK = Case({}, {}, (*NO_START.events, Corrected("fill-up"), Rode("same")))


@pytest.mark.parametrize("case", [NO_START, AFTER_WORK], ids=["fresh", "after-work"])
def test_an_outcome_is_what_giving_the_answer_gives(mower_shop: Workshop, case: Case) -> None:
    """Same probabilities as assessing the case with the answer added; chances add up to 1."""
    belief = mower_shop.assess(case).belief
    found = outcomes(mower_shop.model, belief, "spark-seen")
    assert sum(outcome.chance for outcome in found) == pytest.approx(1)
    for outcome in found:
        answer = Answered("spark-seen", state=outcome.state)
        after = mower_shop.assess(case.with_event(answer)).ranking
        for item in after.causes:
            assert outcome.causes[item.cause] == pytest.approx(item.probability, abs=1e-12)


def test_swings_put_the_most_moving_observation_first(mower_shop: Workshop) -> None:
    """The tank decides about an empty tank, and what nothing was foreseen of is left out."""
    assessment = mower_shop.assess(NO_START)
    foreseen = foresee(mower_shop.model, assessment)
    found = swings(assessment, foreseen, "no-fuel")
    assert found[0].observation == "tank-look"
    assert [s.width for s in found] == sorted((s.width for s in found), reverse=True)
    assert swings(assessment, {}, "no-fuel") == ()
