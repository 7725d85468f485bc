"""Expected cost of repair and order of trying, against worked examples and brute force.

Rules checked: with one fault and costs that do not depend on what was done before, trying suspects
in falling probability over cost is cheapest (Kadane and Simon, 1977, Annals of Statistics 5, as
named in Ottosen and Jensen, 2010); with a check before each repair only the check's cost orders
them, and repairs add a constant (Heckerman, Breese and Rommelse, 1995, CACM 38(3), from memory).
Calling for service when that is cheaper is a further action of the same model (Lín, abstract seen).
The numbers of the examples are constructed; their results were worked out by plain enumeration.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest

from diagnose.advice.pricing import Outlook, Plan, Pricer
from diagnose.inference.posterior import Model
from diagnose.inference.terms import Flags, Floats
from rules.rulebase import RuleBase

Numbers = Sequence[float] | Floats


def planned(rules: RuleBase, service: float, given: Outlook) -> Plan:
    return Pricer(Model(rules)).plan(replace(given, hand_over=service))


def cause_sets(count: int, width: int) -> Flags:
    """Every set of up to `width` of so many causes, the smaller ones first: (sets, causes)."""
    sets = [s for size in range(width + 1) for s in itertools.combinations(range(count), size)]
    return np.array([[cause in members for cause in range(count)] for members in sets])


def outlook(sets: Flags, weights: Numbers, fees: Numbers, checks: Numbers = ()) -> Outlook:
    count = len(fees)
    chances = np.array(weights, dtype=float)
    return Outlook(
        np.arange(count),
        sets,
        chances,
        tuple("abcdefgh"[:count]),
        np.arange(count),
        np.array(fees, dtype=float),
        chances @ sets,
        tuple(((check, f"n{n}"),) for n, check in enumerate(checks)) or ((),) * count,
        hand_over=0.0,
    )


def sequence_cost(
    sets: Flags,
    weights: Floats,
    order: Sequence[int],
    fees: Numbers,
    service: float,
    checks: Numbers | None = None,
) -> float:
    """Expected cost of trying `order` and then calling service, set by set; a suspect whose check is
    infinite is put right unseen."""
    total = 0.0
    for holds, weight in zip(sets, weights, strict=True):
        left = set(np.flatnonzero(holds).tolist())
        hopeless = not left
        cost = 0.0
        for suspect in order:
            if not left and not hopeless:
                break
            if checks is None or np.isinf(checks[suspect]):
                cost += fees[suspect]
            else:
                cost += checks[suspect] + (fees[suspect] if suspect in left else 0.0)
            left.discard(suspect)
        if hopeless or left:
            cost += service
        total += weight * cost
    return total


def cheapest(
    sets: Flags,
    weights: Floats,
    fees: Numbers,
    service: float,
    checks: Numbers | None = None,
) -> float:
    """The least expected cost over every order of every subset."""
    count = len(fees)
    return min(
        sequence_cost(sets, weights, order, fees, service, checks)
        for size in range(count + 1)
        for order in itertools.permutations(range(count), size)
    )


def test_three_suspects_in_falling_p_over_c(mower: RuleBase) -> None:
    """p .5 .3 .2, C 10 2 5: order b, a, c at 10.0; by probability alone it would be 12.0."""
    plan = planned(mower, 1e6, outlook(cause_sets(3, 1), [0, 0.5, 0.3, 0.2], [10, 2, 5]))
    assert plan.corrections == ("b", "a", "c")
    assert plan.expected_minutes == pytest.approx(10.0)


def test_repairs_behind_checks_add_a_constant_and_leave_the_order(mower: RuleBase) -> None:
    """The same with checks 10 2 5 and repairs 30 20 8: 10.0 + 22.6."""
    given = outlook(cause_sets(3, 1), [0, 0.5, 0.3, 0.2], [30, 20, 8], [10, 2, 5])
    plan = planned(mower, 1e6, given)
    assert plan.corrections == ("b", "a", "c")
    assert plan.expected_minutes == pytest.approx(32.6)


def test_one_in_ten_that_no_suspect_explains(mower: RuleBase) -> None:
    """p .45 .27 .18, the same checks and repairs, service 60: b, a, c, then service is 37.04."""
    given = outlook(cause_sets(3, 1), [0.1, 0.45, 0.27, 0.18], [30, 20, 8], [10, 2, 5])
    plan = planned(mower, 60, given)
    assert plan.corrections == ("b", "a", "c")
    assert plan.expected_minutes == pytest.approx(37.04)


def test_a_suspect_dearer_than_it_is_worth_is_left_to_service(mower: RuleBase) -> None:
    given = outlook(cause_sets(2, 1), [0.5, 0.45, 0.05], [10, 50])
    plan = planned(mower, 60, given)
    assert plan.corrections == ("a",)


@pytest.mark.parametrize("seed", range(40))
def test_single_faults_reach_the_optimum_of_all_sequences(mower: RuleBase, seed: int) -> None:
    rng = np.random.default_rng(seed)
    count = int(rng.integers(2, 6))
    sets = cause_sets(count, 1)
    weights = rng.dirichlet(np.ones(len(sets)))
    fees, service = rng.uniform(1, 40, count), float(rng.uniform(20, 120))
    plan = planned(mower, service, outlook(sets, weights, fees))
    assert plan.expected_minutes == pytest.approx(cheapest(sets, weights, fees, service))


def test_two_causes_of_one_correction_need_it_once(mower: RuleBase) -> None:
    """Causes at .5 and .5, half of the time both, behind work of 10 min: none .25, one .5, both
    .25. Hand over at 100: 10 + .25 * 100."""
    sets = cause_sets(2, 2)
    given = outlook(sets, [0.25, 0.25, 0.25, 0.25], [10, 10])
    shared = replace(
        given,
        corrections=("a",),
        fix_of=np.zeros(2, dtype=np.intp),
        fees=np.array([10.0]),
        needed=np.array([0.75]),
        checks=(((2.0, "n0"),),),
    )
    plan = planned(mower, 100, shared)
    # the check is worth making: 2 against a quarter of 10; the work is then done three times in four
    assert plan.expected_minutes == pytest.approx(2 + 0.75 * 10 + 25)


def test_two_faults_at_once_stay_close_to_the_optimum(
    mower: RuleBase, capsys: pytest.CaptureFixture[str]
) -> None:
    """With several faults p/C is a heuristic: its price is exact for its own order, never below
    the optimum, and near it on average."""
    ratios = []
    for seed in range(30):
        rng = np.random.default_rng([seed, 2])
        count = int(rng.integers(2, 5))
        sets = cause_sets(count, 2)
        weights = rng.dirichlet(np.full(len(sets), 0.6))
        fees, service = rng.uniform(1, 40, count), float(rng.uniform(40, 200))
        given = outlook(sets, weights, fees)
        plan = planned(mower, service, given)
        order = ["abcdefgh".index(name) for name in plan.corrections]
        own = sequence_cost(sets, weights, order, fees, service)
        best = cheapest(sets, weights, fees, service)
        assert plan.expected_minutes == pytest.approx(own)
        assert plan.expected_minutes >= best - 1e-9
        ratios.append(plan.expected_minutes / best)
    with capsys.disabled():
        print(
            f"\np/C against the optimum, two faults: mean {np.mean(ratios):.4f}, worst {max(ratios):.3f}"
        )
    assert np.mean(ratios) < 1.05


def worth_making(sets: Flags, weights: Floats, fees: Floats, checks: Floats) -> Floats:
    """The checks, infinite where work done unseen is expected to cost less than check and work."""
    return np.where(checks < (1 - weights @ sets) * fees, checks, np.inf)


@pytest.mark.parametrize("seed", range(20))
def test_checks_before_repairs_are_priced_as_enumerated(mower: RuleBase, seed: int) -> None:
    rng = np.random.default_rng([seed, 3])
    count = int(rng.integers(2, 5))
    sets = cause_sets(count, 2)
    weights = rng.dirichlet(np.ones(len(sets)))
    fees, checks = rng.uniform(5, 60, count), rng.uniform(0.5, 8, count)
    plan = planned(mower, 150, outlook(sets, weights, fees, checks))
    order = ["abcdefgh".index(name) for name in plan.corrections]
    made = worth_making(sets, weights, fees, checks)
    own = sequence_cost(sets, weights, order, fees, 150, made)
    assert plan.expected_minutes == pytest.approx(own)


def test_checks_dearer_than_what_they_spare_are_left_out_near_the_optimum(
    mower: RuleBase, capsys: pytest.CaptureFixture[str]
) -> None:
    """Against every order of every subset with every choice of checks; always checking first is
    dearer on average."""
    ratios, always = [], []
    for seed in range(15):
        rng = np.random.default_rng([seed, 4])
        count = int(rng.integers(2, 5))
        sets = cause_sets(count, 2)
        weights = rng.dirichlet(np.full(len(sets), 0.6))
        fees, checks = rng.uniform(5, 60, count), rng.uniform(0.5, 60, count)
        plan = planned(mower, 150, outlook(sets, weights, fees, checks))
        choices = itertools.product(*((check, np.inf) for check in checks))
        best = min(cheapest(sets, weights, fees, 150, choice) for choice in choices)
        assert plan.expected_minutes >= best - 1e-9
        ratios.append(plan.expected_minutes / best)
        always.append(cheapest(sets, weights, fees, 150, checks) / best)
    with capsys.disabled():
        print(
            f"\nchecks where they pay, against the optimum: mean {np.mean(ratios):.4f}, worst "
            f"{max(ratios):.3f}; always checking, in its best order: mean {np.mean(always):.4f}"
        )
    assert np.mean(ratios) < min(1.05, float(np.mean(always)))
