"""What answers would do, against giving those answers."""

from __future__ import annotations

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.advice.foresight import foresee, outcomes, swings
from diagnose.case.events import Answered, Case, Complained, Corrected, Rode

NO_START = Case({}, {}, (Complained("no-start"),))
AFTER_WORK = Case({}, {}, (*NO_START.events, Corrected("fill-up"), Rode("same")))


@pytest.mark.parametrize("case", [NO_START, AFTER_WORK], ids=["fresh", "after-work"])
def test_an_outcome_is_what_giving_the_answer_gives(mower_assessor: Assessor, case: Case) -> None:
    """Same probabilities as assessing the case with the answer added; chances add up to 1."""
    belief = mower_assessor.assess(case).belief
    found = outcomes(mower_assessor.model, belief, "spark-seen")
    assert sum(outcome.chance for outcome in found) == pytest.approx(1)
    for outcome in found:
        answer = Answered("spark-seen", state=outcome.state)
        after = mower_assessor.assess(case.with_event(answer)).ranking
        for item in after.causes:
            assert outcome.causes[item.cause] == pytest.approx(item.probability, abs=1e-12)


def test_an_outcome_counts_causes_that_nothing_pointed_at_yet(offroad_assessor: Assessor) -> None:
    """On the whole pack, every inspection open after a complaint that some other cause shows on."""
    case = Case({}, {}, (Complained("seal-weep", "front"),))
    assessment = offroad_assessor.assess(case)
    belief, network = assessment.belief, offroad_assessor.model.network
    tried = 0
    for option in assessment.options:
        entry = offroad_assessor.rules.observations.get(option.node)
        shown = network.log_cdf[network.first_row[option.node]] < 0
        if (
            entry is None
            or entry.kind != "inspection"
            or not (shown & (belief.chances.apart > 0)).any()
        ):
            continue
        tried += 1
        for outcome in outcomes(offroad_assessor.model, belief, option.node):
            answered = case.with_event(Answered(option.node, state=outcome.state))
            after = offroad_assessor.model.believe(answered)
            if set(after.findings.states) == {*belief.findings.states, option.node}:
                foreseen = [outcome.causes[cause] for cause in network.causes]
                assert after.marginal == pytest.approx(foreseen, rel=1e-7, abs=1e-12)
    assert tried >= 5


def test_swings_put_the_most_moving_observation_first(mower_assessor: Assessor) -> None:
    """The tank decides about an empty tank, and what nothing was foreseen of is left out."""
    assessment = mower_assessor.assess(NO_START)
    foreseen = foresee(mower_assessor.model, assessment.belief, assessment.options)
    found = swings(assessment.options, foreseen, "no-fuel")
    assert found[0].observation == "tank-look"
    assert [s.width for s in found] == sorted((s.width for s in found), reverse=True)
    assert swings(assessment.options, {}, "no-fuel") == ()
