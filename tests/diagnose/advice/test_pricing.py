"""What an observation is priced at, against giving each of its answers and planning again."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from diagnose.advice.assessor import Assessor
from diagnose.advice.foresight import outcomes
from diagnose.advice.means import Means
from diagnose.advice.pricing import MOST_SUSPECTS, Plan, Pricer
from diagnose.case.events import Answered, Case, Complained, standing
from diagnose.inference.posterior import Model, nothing_left
from rules.loading.loader import load_pack
from rules.problems import FileProblems
from rules.rulebase import RuleBase
from tests import places

# mean difference in minutes and correlation; measured 0.01 to 0.03 and 0.998 with up to nine
# suspects, 0.64 to 0.92 and 0.20 to 0.50 with 14 to 47
FEW_APART, FEW_ALIKE = 0.05, 0.99
MANY_APART, MANY_ALIKE = 1.2, 0.15


@pytest.mark.parametrize(
    ("complaint", "apart", "alike"),
    [
        pytest.param("packing/front", FEW_APART, FEW_ALIKE, marks=pytest.mark.long),
        ("slow-return/front", FEW_APART, FEW_ALIKE),
        pytest.param("rear-high", FEW_APART, FEW_ALIKE, marks=pytest.mark.long),
        ("harsh/front", MANY_APART, MANY_ALIKE),
        pytest.param("wallowing", MANY_APART, MANY_ALIKE, marks=pytest.mark.long),
        pytest.param("seal-weep/front", MANY_APART, MANY_ALIKE, marks=pytest.mark.long),
    ],
)
def test_an_option_is_worth_what_its_answers_save(
    offroad_assessor: Assessor, complaint: str, apart: float, alike: float
) -> None:
    """Prices leave out what an answer does to the list of what may still be found out, and where
    there are more suspects than are priced in every combination, which of them those are. So they
    agree on the whole, not one by one."""
    rules, pricer = offroad_assessor.rules, Pricer(offroad_assessor.model)
    name, _, place = complaint.partition("/")
    case = Case(events=(Complained(name, place or None),))
    now = offroad_assessor.assess(case)
    first = np.argmax(now.belief.open_marginal)
    priced, answered, turns, turned = [], [], [], []
    for option in now.options:
        entry = rules.observations.get(option.node)
        if entry is None or entry.kind == "measurement" or entry.settles:
            continue
        cost = turn = 0.0
        for outcome in outcomes(offroad_assessor.model, now.belief, option.node):
            after = case.with_event(Answered(option.node, state=outcome.state))
            belief = offroad_assessor.model.believe(after)
            outlook = pricer.outlook(belief, standing(after))
            cost += outcome.chance * pricer.plan(outlook).expected_minutes
            turn += outcome.chance * float(np.argmax(belief.open_marginal) != first)
        told = Means(rules, standing(case)).chance(option.node)
        priced.append(option.saves)
        answered.append(told * (now.plan.expected_minutes - cost))
        turns.append(option.changes_first)
        turned.append(told * turn)
    assert len(priced) > 10
    assert np.abs(np.subtract(turns, turned)).mean() < 0.05
    assert np.abs(np.subtract(priced, answered)).mean() < apart
    assert np.corrcoef(priced, answered)[0, 1] > alike


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
        index = outlook.corrections.index(key)
        fixed = outlook.fix_of == index
        needs = outlook.holds[:, fixed].any(axis=1)
        assert outlook.needed[index] == pytest.approx(outlook.weights[needs].sum(), abs=2e-3)
    assert outlook.weights.sum() == pytest.approx(1)
    assert (np.diff(outlook.weights) <= 0).all()


def test_without_a_suspect_nothing_is_needed_and_nothing_looked_for(
    mower_assessor: Assessor,
) -> None:
    belief, pricer = mower_assessor.model.believe(Case()), Pricer(mower_assessor.model)
    outlook = pricer.outlook(belief, standing(Case()))
    assert (len(outlook.suspects), outlook.holds.shape) == (0, (1, 0))
    assert outlook.weights.tolist() == [1.0]
    assert pricer.plan(outlook) == Plan((), (), mower_assessor.rules.policy.hand_over_minutes)
    assert pricer.options(belief, outlook, 120.0) == []


def test_two_causes_of_one_correction_are_not_added_up(
    offroad: RuleBase, offroad_assessor: Assessor
) -> None:
    """The chance that work is needed is that of any of its causes, at most 1 and never their sum."""
    case = Case(events=(Complained("harsh", "front"),))
    belief = offroad_assessor.model.believe(case)
    outlook = Pricer(offroad_assessor.model).outlook(belief, standing(case))
    sums: dict[str, list[float]] = {}
    for index in np.flatnonzero(belief.matters):
        cause = offroad.causes[offroad_assessor.model.network.causes[index]]
        sums.setdefault(cause.correction, []).append(float(belief.marginal[index]))
    shared = 0
    for key, needed in zip(outlook.corrections, outlook.needed, strict=True):
        if len(sums[key]) == 1:
            assert needed == pytest.approx(sums[key][0])
        else:
            assert max(sums[key]) <= needed < sum(sums[key])
            shared += 1
    assert shared > 3


def test_what_the_first_suspects_do_not_explain_is_put_down_to_the_others(
    offroad_assessor: Assessor,
) -> None:
    """With dozens of suspects, nothing at work is as likely as that nothing listed is."""
    case = Case(events=(Complained("harsh", "front"),))
    belief = offroad_assessor.model.believe(case)
    outlook = Pricer(offroad_assessor.model).outlook(belief, standing(case))
    assert len(outlook.suspects) > 2 * MOST_SUSPECTS
    nothing = outlook.weights[~outlook.holds.any(axis=1)].sum()
    assert nothing == pytest.approx(nothing_left(belief), abs=2e-3)
    assert outlook.weights @ outlook.holds == pytest.approx(
        belief.marginal[outlook.suspects], abs=0.03
    )


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


def test_a_check_that_the_work_makes_on_its_way_is_priced_with_it(
    edited_pack: Callable[..., Path],
) -> None:
    """Looking into the carburettor is the first part of cleaning it."""
    text = "minutes: 60, opens: true, who: qualified technician"
    made = load_pack(edited_pack(text, f"makes: [carburettor-inside], {text}"))
    told = (Complained("no-start"), Answered("stood-all-winter", state="yes"))
    minutes = made.observations["carburettor-inside"].minutes

    def priced(rules: RuleBase, *events: Answered) -> tuple[float, float]:
        """Of the correction: its fee, and its cheapest check."""
        case = Case(events=(*told, *events))
        found = Pricer(Model(rules)).outlook(Model(rules).believe(case), standing(case))
        number = found.corrections.index("clean-carburettor")
        return float(found.fees[number]), float(found.entry_fees()[number])

    alone = load_pack(places.MOWER)
    chance = 1 - priced(made)[1] / priced(alone)[1]
    assert 0 < chance < 1
    assert priced(made)[0] == priced(alone)[0]
    seen = Answered("carburettor-inside", state="no")
    assert priced(made, seen)[0] == pytest.approx(priced(alone, seen)[0] - minutes)


def test_work_names_checks_that_there_are(edited_pack: Callable[..., Path]) -> None:
    text = "minutes: 60, opens: true, who: qualified technician"
    with pytest.raises(FileProblems, match="carburettor-inside"):
        load_pack(edited_pack(text, f"makes: [carburettor-insid], {text}"))
