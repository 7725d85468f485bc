"""Cause sets against plain enumeration."""

from __future__ import annotations

import itertools
from math import comb

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.hypotheses import cause_sets


@pytest.mark.parametrize(("count", "width"), [(1, 1), (4, 1), (5, 2), (6, 3), (2, 3)])
def test_every_set_up_to_the_width_stands_once(count: int, width: int) -> None:
    sets = cause_sets(count, width)
    seen = [frozenset(int(i) for i in row if i < count) for row in sets.members]
    assert len(seen) == len(set(seen)) == sum(comb(count, k) for k in range(width + 1))
    assert seen[0] == frozenset()


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
