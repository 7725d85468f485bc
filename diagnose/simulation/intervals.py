"""Means and ratios over cases with intervals, and whether differences are more than noise."""

from __future__ import annotations

import warnings
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

_RESAMPLES = 2000
_FLIPS = 20_000
_BLOCK = 200  # at a time, so that many cases do not fill the memory


@dataclass(frozen=True, slots=True)
class Average:
    """A value over cases with its 95 % interval (percentile bootstrap over cases)."""

    mean: float
    low: float
    high: float


def figure(values: Sequence[float]) -> Average:
    """Mean and 95 % percentile-bootstrap interval (Efron, 1979, from memory), the same each time.

    Needs at least one value; the interval of a single one is that value.
    """
    return _resampled(np.mean, values)


def middle(values: Sequence[float]) -> Average:
    """Median and its 95 % interval, got as by `figure`; the median stands in `mean`."""
    return _resampled(np.median, values)


def ratio(ours: Sequence[float], theirs: Sequence[float]) -> Average:
    """Ratio of means on the same cases, with its 95 % interval from resampling whole cases.

    Infinite (or not a number) where the second mean is 0.
    """

    def of_means(one: NDArray[Any], other: NDArray[Any], axis: int = -1) -> Any:
        return np.mean(one, axis=axis) / np.mean(other, axis=axis)

    with np.errstate(divide="ignore", invalid="ignore"):
        return _resampled(of_means, ours, theirs)


def flip_test(differences: Sequence[float]) -> float:
    """Two-sided chance of a mean difference at least this far from 0 if the sign of each case's
    difference were a coin toss.

    Fisher's randomisation test for pairs (1935, from memory): all ways are listed where few cases
    differ, else drawn with a fixed seed, the observed one counted in (Phipson and Smyth, 2010, from
    memory). For yes/no differences it is the exact sign test.
    """
    from scipy import stats  # noqa: PLC0415  # takes a second to import

    data = np.asarray(differences, dtype=np.float64)
    data = data[data != 0]
    if len(data) < 2:  # either sign is as far from 0
        return 1.0
    tested = stats.permutation_test(
        (data,),
        lambda flipped, axis: np.abs(flipped.mean(axis)),
        permutation_type="samples",
        vectorized=True,
        alternative="greater",
        n_resamples=_FLIPS,
        batch=_BLOCK,
        rng=22,
    )
    return float(tested.pvalue)


def holm(chances: Sequence[float]) -> list[float]:
    """Chances adjusted for having made them all (Holm, 1979, from memory), in the order given."""
    data = np.asarray(chances, dtype=np.float64)
    order = np.argsort(data, kind="stable")
    times = np.arange(len(data), 0, -1)
    adjusted = np.empty_like(data)
    adjusted[order] = np.minimum(np.maximum.accumulate(times * data[order]), 1.0)
    return [float(chance) for chance in adjusted]


def _resampled(statistic: Callable[..., Any], *samples: Sequence[float]) -> Average:
    """A statistic of samples that belong together case by case."""
    from scipy import stats  # noqa: PLC0415  # takes a second to import

    data = [np.asarray(sample, dtype=np.float64) for sample in samples]
    value = float(statistic(*data))
    if len(data[0]) < 2:
        return Average(value, value, value)
    with warnings.catch_warnings():
        # an interval that cannot be told is not a number, which says enough
        warnings.simplefilter("ignore", stats.DegenerateDataWarning)
        found = stats.bootstrap(
            data,
            statistic,
            paired=True,
            vectorized=True,
            method="percentile",
            n_resamples=_RESAMPLES,
            batch=_BLOCK,
            rng=20,
        ).confidence_interval
    return Average(value, float(found.low), float(found.high))
