"""Costs of orders of repair and credit by votes, against enumeration.

Orders of actions: single fault, perfect rides, expected cost by order (Kadane and Simon, 1977, and
Heckerman, Breese and Rommelse, 1995, from memory; the first numbers are constructed and were worked
out by enumeration). Dependent actions: four faults, three actions that overlap (an example in the
papers of Ottosen, Jensen and Vomlel, from memory; its six costs recomputed). Credit by votes
(Charlin and others, 2000, from memory).
"""

from __future__ import annotations

import itertools
from collections.abc import Mapping

import pytest

from diagnose.training.play.coach import concordance_credit
from tests.oracles.optimum import Hypothesis, Small, Work, cost_of_order, least_cost


def single_faults(chances: Mapping[str, float], works: Mapping[str, tuple[float, str]]) -> Small:
    """One fault at a time, a ride that always tells, and handing over far too expensive."""
    return Small(
        tuple(Hypothesis(frozenset({f}), frozenset({f}), p) for f, p in chances.items()),
        {},
        {name: Work(cost, frozenset(fixes)) for name, (cost, fixes) in works.items()},
        1e6,
    )


PLAIN = single_faults(
    {"a": 0.5, "b": 0.3, "c": 0.2}, {"a": (10, "a"), "b": (2, "b"), "c": (5, "c")}
)
OVERLAPPING = single_faults(
    {"1": 0.20, "2": 0.25, "3": 0.40, "4": 0.15},
    {"A1": (1, "12"), "A2": (1, "23"), "A3": (1, "34")},
)


@pytest.mark.parametrize(
    ("order", "cost"),
    [("abc", 12.0), ("acb", 13.1), ("bac", 10.0), ("bca", 10.5), ("cab", 13.6), ("cba", 11.6)],
)
def test_three_suspects(order: str, cost: float) -> None:
    assert cost_of_order(PLAIN, order) == pytest.approx(cost)


def test_cost_ratios_to_the_optimum() -> None:
    assert least_cost(PLAIN) == pytest.approx(10.0)
    assert cost_of_order(PLAIN, "abc") / least_cost(PLAIN) == pytest.approx(1.20)
    assert cost_of_order(PLAIN, "cab") / least_cost(PLAIN) == pytest.approx(1.36)


@pytest.mark.parametrize(
    ("order", "cost"),
    [
        (("A3", "A1", "A2"), 1.45),
        (("A2", "A1", "A3"), 1.50),
        (("A2", "A3", "A1"), 1.55),
        (("A1", "A3", "A2"), 1.55),
        (("A3", "A2", "A1"), 1.65),
        (("A1", "A2", "A3"), 1.70),
    ],
)
def test_actions_that_overlap(order: tuple[str, ...], cost: float) -> None:
    assert cost_of_order(OVERLAPPING, order) == pytest.approx(cost)


def test_greedy_is_not_optimal_where_actions_overlap() -> None:
    """Probability over cost, re-computed after each failure, takes A2 first: 1.50 against 1.45."""
    best = min(cost_of_order(OVERLAPPING, o) for o in itertools.permutations(OVERLAPPING.works))
    assert least_cost(OVERLAPPING) == pytest.approx(best) == pytest.approx(1.45)
    greedy = cost_of_order(OVERLAPPING, ("A2", "A1", "A3"))
    assert greedy / least_cost(OVERLAPPING) == pytest.approx(1.034483, abs=1e-6)


def test_six_three_one_and_no_votes() -> None:
    votes = {"best": 6.0, "second": 3.0, "third": 1.0, "none": 0.0}
    earned = [concordance_credit(votes, answer) for answer in votes]
    assert earned == pytest.approx([1, 0.5, 0.1667, 0], abs=1e-4)
