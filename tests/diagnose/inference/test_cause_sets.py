"""Cause sets against plain enumeration."""

from __future__ import annotations

import itertools
from math import comb

import numpy as np
import pytest
from diagnose.inference.cause_sets import Bystanders, Floats, TooManySets, cause_sets
from hypothesis import given
from hypothesis import strategies as st


@pytest.mark.parametrize(("count", "width"), [(1, 1), (4, 1), (5, 2), (6, 3), (2, 3)])
def test_every_set_up_to_the_width_stands_once(count: int, width: int) -> None:
    sets = cause_sets(count, width)
    seen = [frozenset(int(i) for i in row if i < count) for row in sets.members]
    assert len(seen) == len(set(seen)) == sum(comb(count, k) for k in range(width + 1))
    assert seen[0] == frozenset()


def test_more_sets_than_fit_in_memory_are_refused_in_words() -> None:
    with pytest.raises(TooManySets, match="500 causes bear on what is known, in 20833751 sets"):
        cause_sets(500, 3)


@given(st.integers(1, 6), st.integers(1, 3), st.integers(0, 2**31))
def test_sums_and_marginals_match_enumeration(count: int, width: int, seed: int) -> None:
    sets = cause_sets(count, width)
    rng = np.random.default_rng(seed)
    values, weights = rng.normal(size=(2, count)), rng.random((3, len(sets)))
    members = [[int(i) for i in row if i < count] for row in sets.members]
    for row, per_cause in zip(sets.sums(values), values, strict=True):
        assert row == pytest.approx([sum(per_cause[m]) for m in members])
    for row, weight in zip(sets.marginals(weights), weights, strict=True):
        expected = [
            sum(w for w, m in zip(weight, members, strict=True) if cause in m)
            for cause in range(count)
        ]
        assert row == pytest.approx(expected)


def test_what_is_put_right_leaves_its_sets() -> None:
    sets = cause_sets(3, 2).without(np.array([True, False, False]))
    assert 0 not in set(itertools.chain.from_iterable(sets.members.tolist()))
    assert len(sets) == len(cause_sets(3, 2))


def test_sets_of_some_causes_only() -> None:
    sets = cause_sets(6, 2, np.array([1, 4]))
    assert sets.members.tolist() == [[6, 6], [1, 6], [4, 6], [1, 4]]
    assert sets.room.tolist() == [2, 1, 1, 0]


@given(st.integers(1, 7), st.integers(1, 3), st.data())
def test_bystanders_weigh_as_if_every_set_were_written_out(
    count: int, width: int, data: st.DataObject
) -> None:
    """Against the whole table, for any split of the causes and any odds."""
    rng = np.random.default_rng(data.draw(st.integers(0, 2**31)))
    odds = 10.0 ** rng.uniform(-6, 0, count)
    apart = np.array(data.draw(st.lists(st.booleans(), min_size=count, max_size=count)))
    likelihood = rng.random(2**count)  # of each combination of the causes told apart

    def weights_of(members: list[list[int]]) -> Floats:
        told = [[i for i in m if apart[i]] for m in members]
        return np.array(
            [
                likelihood[sum(1 << i for i in t)] * np.prod(odds[m])
                for t, m in zip(told, members, strict=True)
            ]
        )

    whole = cause_sets(count, width)
    expected = whole.marginals(
        weights_of([[int(i) for i in m if i < count] for m in whole.members])
    )
    some = cause_sets(count, width, np.flatnonzero(apart))
    beside = Bystanders(np.where(apart, 0.0, odds), some.room)
    weights = weights_of([[int(i) for i in m if i < count] for m in some.members])
    weights = weights * beside.totals()
    assert some.marginals(weights) + beside.marginals(weights) == pytest.approx(expected, rel=1e-9)
    rows = np.stack([weights, weights**2])
    assert beside.marginals(rows)[1] == pytest.approx(beside.marginals(weights**2))
    assert weights.sum() == pytest.approx(
        weights_of([[int(i) for i in m if i < count] for m in whole.members]).sum()
    )
