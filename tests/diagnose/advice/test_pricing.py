"""What an observation is priced at, against giving each of its answers and planning again."""

from __future__ import annotations

import numpy as np
import pytest

from diagnose.advice.assessor import Assessor
from diagnose.advice.foresight import outcomes
from diagnose.advice.pricing import Pricer
from diagnose.case.events import Answered, Case, Complained, standing
from rules.rulebase import RuleBase


@pytest.mark.parametrize("complaint", ["harsh/front", "wallowing", "seal-weep/front"])
def test_an_option_is_worth_what_its_answers_save(
    offroad_assessor: Assessor, complaint: str
) -> None:
    """Prices leave out what an answer does to the list of what may still be found out, and causes
    that cannot give the complaint, so they agree on the whole, not one by one (measured: mean
    difference 0.14 to 0.46 minutes, correlation 0.72 to 0.90)."""
    rules, pricer = offroad_assessor.rules, Pricer(offroad_assessor.model)
    name, _, place = complaint.partition("/")
    case = Case(events=(Complained(name, place or None),))
    now = offroad_assessor.assess(case)
    first = np.argmax(now.belief.open_marginal)
    priced, answered, turns, turned = [], [], [], []
    for option in now.options:
        entry = rules.observations.get(option.node)
        if entry is None or entry.kind == "measurement":
            continue
        cost = turn = 0.0
        for outcome in outcomes(offroad_assessor.model, now.belief, option.node):
            after = case.with_event(Answered(option.node, state=outcome.state))
            belief = offroad_assessor.model.believe(after)
            outlook = pricer.outlook(belief, standing(after))
            cost += outcome.chance * pricer.plan(outlook).expected_minutes
            turn += outcome.chance * float(np.argmax(belief.open_marginal) != first)
        priced.append(option.saves)
        answered.append(now.plan.expected_minutes - cost)
        turns.append(option.changes_first)
        turned.append(turn)
    assert len(priced) > 10
    assert np.abs(np.subtract(turns, turned)).mean() < 0.05
    assert np.abs(np.subtract(priced, answered)).mean() < 0.6
    assert np.corrcoef(priced, answered)[0, 1] > 0.65


def test_a_correction_costs_its_work_its_parts_and_a_ride(
    mower: RuleBase, mower_assessor: Assessor
) -> None:
    """And one that was declined is dearer than handing over many times."""
    case = Case(events=(Complained("no-start"),))
    belief = mower_assessor.model.believe(case)
    pricer = Pricer(mower_assessor.model)
    outlook = pricer.outlook(belief, standing(case))
    for key, fee in zip(outlook.corrections, outlook.fees, strict=True):
        entry = mower.corrections[key]
        parts = mower.policy.parts_minutes[entry.parts]
        assert fee == pytest.approx(entry.minutes + parts + mower.policy.ride_minutes)
        behind = [c for c, e in mower.causes.items() if e.correction == key]
        chances = [belief.marginal[mower_assessor.model.network.cause_index[c]] for c in behind]
        matter = [belief.matters[mower_assessor.model.network.cause_index[c]] for c in behind]
        index = outlook.corrections.index(key)
        assert outlook.needed[index] == pytest.approx(
            min(sum(chance for chance, m in zip(chances, matter, strict=True) if m), 1.0)
        )
    assert outlook.weights.sum() == pytest.approx(1)
    assert (np.diff(outlook.weights) <= 0).all()


def test_findings_are_looked_through_to_what_can_be_observed(mower_assessor: Assessor) -> None:
    pricer = Pricer(mower_assessor.model)
    inputs = mower_assessor.model.findings.inputs
    for finding, names in inputs.items():
        found = pricer.observations_behind([finding])
        assert found == list(dict.fromkeys(found))
        assert set(found) >= {n for n in names if n in mower_assessor.rules.observations}
        assert all(name in mower_assessor.rules.observations for name in found)
        assert found
    assert pricer.observations_behind(["tank-look", "no-such-thing"]) == ["tank-look"]
