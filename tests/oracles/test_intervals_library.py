"""Intervals of shares against scipy."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import beta

from diagnose.records.learning.intervals import interval
from diagnose.records.learning.learned import Share


@given(st.floats(0.05, 500), st.floats(0.05, 5000))
def test_intervals_agree_with_scipy(a: float, b: float) -> None:
    low, high = interval(Share(a, b))
    exact = beta.ppf([0.05, 0.95], a, b)
    assert (low, high) == pytest.approx(exact, abs=3e-4)
