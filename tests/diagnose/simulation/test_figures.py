"""Intervals and tests of differences, against published figures and the arithmetic they claim."""

from __future__ import annotations

import itertools
import math
import warnings

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from diagnose.authoring.trials.measures import wilson
from diagnose.simulation.intervals import figure, flip_test, holm, ratio

numbers = st.lists(st.floats(-100, 100).map(lambda x: round(x, 3)), min_size=2, max_size=30)


def test_an_interval_covers_the_mean_as_often_as_it_says() -> None:
    """About 95 in 100 intervals from samples of 60 hold the true mean (bootstrap: a bit less)."""
    rng = np.random.default_rng(3)
    hits = 0
    for _ in range(30):
        found = figure(rng.exponential(2.0, size=60).tolist())
        hits += found.low <= 2.0 <= found.high
    assert 0.85 <= hits / 30 < 1


@settings(max_examples=15)
@given(numbers)
def test_the_mean_lies_in_its_interval(values: list[float]) -> None:
    found = figure(values)
    assert found.mean == pytest.approx(np.mean(values))
    assert min(values) - 1e-9 <= found.low <= found.high <= max(values) + 1e-9


def test_a_ratio_of_the_same_is_one_without_doubt() -> None:
    """Whole cases are resampled, so both means go up and down together."""
    found = ratio([1.0, 5.0, 9.0], [2.0, 10.0, 18.0])
    assert (found.mean, found.low, found.high) == pytest.approx((0.5, 0.5, 0.5))


@pytest.mark.parametrize("seed", range(4))
def test_few_pairs_are_tested_exactly(seed: int) -> None:
    """As counted over every way the signs can fall."""
    values = np.random.default_rng(seed).normal(0.5, 1.0, size=10)
    sums = [abs(sum(ways)) for ways in itertools.product(*((v, -v) for v in values))]
    expected = np.mean(np.array(sums) >= abs(sum(values)) - 1e-9)
    assert flip_test(values.tolist()) == pytest.approx(expected)


@pytest.mark.parametrize("value", [0.7, -3.0])
def test_one_case_is_no_evidence(value: float) -> None:
    assert flip_test([value, 0.0]) == 1.0
    found = figure([value])
    assert (found.mean, found.low, found.high) == (value, value, value)


def test_a_ratio_over_nothing_is_infinite_without_a_warning() -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        assert ratio([3.0, 1.0], [0.0, 0.0]).mean == math.inf
        assert math.isnan(ratio([3.0, 1.0, 0.0, 4.0], [0.0, 0.0, 0.0, 1.0]).high)


@pytest.mark.parametrize(("wins", "losses"), [(9, 2), (6, 6), (40, 15), (30, 28)])
def test_yes_no_differences_make_it_the_sign_test(wins: int, losses: int) -> None:
    apart = [1.0] * wins + [-1.0] * losses + [0.0] * 20
    expected = stats.binomtest(wins, wins + losses).pvalue
    assert flip_test(apart) == pytest.approx(expected, abs=0.012)


def test_no_difference_is_never_more_than_noise() -> None:
    assert flip_test([0.0, 0.0]) == 1.0
    assert flip_test([]) == 1.0


def test_noise_is_called_more_than_noise_as_rarely_as_it_says() -> None:
    rng = np.random.default_rng(5)
    chances = [flip_test(rng.normal(size=12).tolist()) for _ in range(150)]
    assert np.mean(np.array(chances) < 0.05) == pytest.approx(0.05, abs=0.04)


def test_holm_by_hand() -> None:
    """Smallest times four, next times three, and none below one before it."""
    assert holm([0.01, 0.04, 0.03, 0.005]) == pytest.approx([0.03, 0.06, 0.06, 0.02])


@given(st.lists(st.floats(0, 1), min_size=1, max_size=12))
def test_adjusted_chances_are_never_smaller(chances: list[float]) -> None:
    adjusted = holm(chances)
    assert all(
        after >= before and after <= 1 for before, after in zip(chances, adjusted, strict=True)
    )
    order = np.argsort(chances, kind="stable")
    assert list(np.diff(np.array(adjusted)[order]) >= 0) == [True] * (len(chances) - 1)


@pytest.mark.parametrize(
    ("times", "cases", "low", "high"),
    [
        (81, 263, 0.2553, 0.3662),
        (15, 148, 0.0624, 0.1605),
        (0, 20, 0, 0.1611),
        (1, 29, 0.0061, 0.1718),
    ],
)
def test_the_interval_of_a_share_is_wilsons(
    times: int, cases: int, low: float, high: float
) -> None:
    """The four examples of Newcombe (1998, Statistics in Medicine 17:857-872, from memory)."""
    assert wilson(times, cases) == pytest.approx((low, high), abs=5e-5)
