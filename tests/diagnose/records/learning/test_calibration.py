"""Scores of forecasts and learned shares, worked by hand from their definitions.

Definitions from memory: Dirichlet means and variances, Gelman and others, Bayesian Data Analysis;
scores of Brier 1950, Good 1952 and Murphy 1973.
"""

from __future__ import annotations

import math

import pytest

from diagnose.records.learning.calibration import (
    FLOOR,
    brier_score,
    calibrate,
    calibration_error,
    log_loss,
    murphy_split,
    reliability,
)
from diagnose.records.learning.learned import CauseShare, learned_link
from diagnose.records.learning.lessons import ProvenLesson
from rules.rulebase import Link

FORECASTS = [0.9, 0.8, 0.7, 0.6, 0.3, 0.2, 0.8, 0.1, 0.6, 0.3]
OUTCOMES = [True, True, False, True, False, False, True, False, False, True]


def test_scores_of_yes_no_forecasts() -> None:
    assert brier_score(FORECASTS, OUTCOMES) == pytest.approx(0.173)
    assert log_loss(FORECASTS, OUTCOMES) == pytest.approx(0.507189, abs=1e-6)
    split = murphy_split(reliability(FORECASTS, OUTCOMES, 10))
    assert (split.reliability, split.resolution, split.uncertainty) == pytest.approx(
        (0.073, 0.150, 0.25)
    )
    assert 1 - 0.173 / split.uncertainty == pytest.approx(0.308)


def test_what_is_printed_of_kept_cases_are_these_scores() -> None:
    """The same ten forecasts, told as ten cases with two causes each."""
    lessons = [
        ProvenLesson(n, "yes" if came else "no", {}, {}, {"yes": chance, "no": 1 - chance})
        for n, (chance, came) in enumerate(zip(FORECASTS, OUTCOMES, strict=True))
    ]
    scored = calibrate(lessons)
    assert scored is not None
    # over two causes Brier's own score is twice that of yes and no
    assert scored.brier == pytest.approx(2 * 0.173)
    assert scored.log_score == pytest.approx(0.507189, abs=1e-6)
    assert scored.first == 0.7
    split = scored.split
    assert split.reliability - split.resolution + split.uncertainty == pytest.approx(2 * 0.173)
    assert sum(entry.count for entry in scored.bins) == 20


def test_a_cause_that_was_not_held_possible_costs_what_the_floor_says() -> None:
    scored = calibrate([ProvenLesson(1, "b", {}, {}, {"a": 0.5}), ProvenLesson(2, "a", {}, {}, {})])
    assert scored is not None
    assert scored.cases == 1
    assert scored.log_score == pytest.approx(-math.log(FLOOR))
    assert scored.brier == pytest.approx(0.25 + (1 - FLOOR) ** 2)


def test_the_reliability_table_and_its_edges() -> None:
    table = reliability(FORECASTS, OUTCOMES, 5)
    rows = [(b.count, round(b.forecast, 4), round(b.came_true, 4)) for b in table]
    assert rows == [(1, 0.1, 0), (3, 0.2667, 0.3333), (3, 0.6333, 0.3333), (3, 0.8333, 1)]
    assert [(b.low, b.high) for b in table] == [(0, 0.2), (0.2, 0.4), (0.6, 0.8), (0.8, 1)]
    assert calibration_error(table) == pytest.approx(0.17)


def test_scores_of_a_ranking_of_several_causes() -> None:
    scored = calibrate([ProvenLesson(1, "b", {}, {}, {"a": 0.5, "b": 0.3, "c": 0.2})])
    assert scored is not None
    assert scored.brier == pytest.approx(0.78)
    assert scored.log_score == pytest.approx(1.203973, abs=1e-6)
    assert scored.first == 0
    assert calibrate([]) is None


def test_dirichlet_means_of_a_link() -> None:
    link = Link("cause", "node", (0.5, 0.25, 0.25), {}, ())
    learned = learned_link(link, (1.0, 0.0, 0.0), (5, 3, 0), weight=4)
    assert learned == pytest.approx((0.583333, 0.333333, 0.083333), abs=1e-6)


def test_beta_posterior_of_seven_in_ten() -> None:
    share = CauseShare(1 + 7, 1 + 3)
    assert share.mean == pytest.approx(0.666667, abs=1e-6)
    assert share.variance == pytest.approx(0.017094, abs=1e-6)
