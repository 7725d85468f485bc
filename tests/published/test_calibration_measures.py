"""Scores and posteriors against textbook numbers and scipy.

Checks 5A and 5B: Dirichlet means and variances (Gelman and others, Bayesian Data Analysis), Brier
1950, Good 1952 and Murphy 1973, worked by hand from the definitions.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import beta

from diagnose.records.calibration import (
    brier_score,
    calibrate,
    calibration_error,
    log_loss,
    murphy_split,
    reliability,
)
from diagnose.records.intervals import interval
from diagnose.records.learning import Share
from diagnose.records.lessons import Lesson

FORECASTS = [0.9, 0.8, 0.7, 0.6, 0.3, 0.2, 0.8, 0.1, 0.6, 0.3]
OUTCOMES = [True, True, False, True, False, False, True, False, False, True]


def test_scores_of_yes_no_forecasts() -> None:
    assert brier_score(FORECASTS, OUTCOMES) == pytest.approx(0.173)
    assert log_loss(FORECASTS, OUTCOMES) == pytest.approx(0.507189, abs=1e-6)
    reliable, resolution, uncertainty = murphy_split(FORECASTS, OUTCOMES)
    assert (reliable, resolution, uncertainty) == pytest.approx((0.073, 0.150, 0.25))
    assert reliable - resolution + uncertainty == pytest.approx(0.173)
    assert 1 - 0.173 / uncertainty == pytest.approx(0.308)


def test_the_reliability_table_and_its_edges() -> None:
    table = reliability(FORECASTS, OUTCOMES, 5)
    rows = [(b.count, round(b.forecast, 4), round(b.came_true, 4)) for b in table]
    assert rows == [(1, 0.1, 0), (3, 0.2667, 0.3333), (3, 0.6333, 0.3333), (3, 0.8333, 1)]
    assert [(b.low, b.high) for b in table] == [(0, 0.2), (0.2, 0.4), (0.6, 0.8), (0.8, 1)]
    assert calibration_error(table) == pytest.approx(0.17)


def test_scores_of_a_ranking_of_several_causes() -> None:
    scored = calibrate([Lesson(1, "b", {}, {}, {"a": 0.5, "b": 0.3, "c": 0.2})])
    assert scored is not None
    assert scored.brier == pytest.approx(0.78)
    assert scored.log_score == pytest.approx(1.203973, abs=1e-6)
    assert scored.first == 0
    assert calibrate([]) is None


def test_beta_posterior_of_seven_in_ten() -> None:
    share = Share(1 + 7, 1 + 3)
    assert share.mean == pytest.approx(0.666667, abs=1e-6)
    assert share.variance == pytest.approx(0.017094, abs=1e-6)


@given(st.floats(0.05, 500), st.floats(0.05, 5000))
def test_intervals_agree_with_scipy(a: float, b: float) -> None:
    low, high = interval(Share(a, b))
    exact = beta.ppf([0.05, 0.95], a, b)
    assert (low, high) == pytest.approx(exact, abs=3e-4)
