"""Means and ratios over cases with intervals, and whether differences are more than noise."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

RESAMPLES = 2000
FLIPS = 20_000
BLOCK = 500
MOST_LISTED = 14


@dataclass(frozen=True, slots=True)
class Figure:
    """A value over cases with its 95 % interval (percentile bootstrap over cases)."""

    mean: float
    low: float
    high: float


def figure(values: Sequence[float]) -> Figure:
    """Mean and 95 % percentile-bootstrap interval (Efron, 1979, from memory), seeded."""
    data = np.asarray(values, dtype=np.float64)
    means = [data[rows].mean() for rows in _resamples(len(data))]
    return _spanned(float(data.mean()), means)


def ratio(ours: Sequence[float], theirs: Sequence[float]) -> Figure:
    """Ratio of means on the same cases, with its 95 % interval from resampling whole cases.

    Infinite (or not a number) where the second mean is 0.
    """
    one, other = np.asarray(ours, dtype=np.float64), np.asarray(theirs, dtype=np.float64)
    with np.errstate(divide="ignore", invalid="ignore"):
        ratios = [one[rows].mean() / other[rows].mean() for rows in _resamples(len(one))]
        value = float(one.mean() / other.mean())
    return _spanned(value, ratios)


def flip_test(differences: Sequence[float]) -> float:
    """Two-sided chance of a mean difference at least this far from 0 if the sign of each case's
    difference were a coin toss.

    Fisher's randomisation test for pairs (1935, from memory): all ways are listed where few cases
    differ, else drawn with a fixed seed, the observed one counted in (Phipson and Smyth, 2010, from
    memory). For yes/no differences it is the exact sign test.
    """
    data = np.asarray(differences, dtype=np.float64)
    data = data[data != 0]
    if not len(data):
        return 1.0
    seen = abs(float(data.sum())) - 1e-9
    if len(data) <= MOST_LISTED:
        signs = np.array(list(itertools.product((1.0, -1.0), repeat=len(data))))
        return float(np.mean(np.abs(signs @ data) >= seen))
    rng = np.random.default_rng(22)
    far = 0
    for _ in range(FLIPS // BLOCK):
        signs = rng.integers(0, 2, size=(BLOCK, len(data)), dtype=np.int8) * 2.0 - 1.0
        far += int(np.sum(np.abs(signs @ data) >= seen))
    return (far + 1) / (FLIPS + 1)


def holm(chances: Sequence[float]) -> list[float]:
    """Chances adjusted for having made them all (Holm, 1979, from memory), in place."""
    order = sorted(range(len(chances)), key=lambda i: chances[i])
    adjusted = [0.0] * len(chances)
    worst = 0.0
    for rank, index in enumerate(order):
        worst = max(worst, min(1.0, (len(chances) - rank) * chances[index]))
        adjusted[index] = worst
    return adjusted


def _resamples(count: int) -> Iterator[NDArray[np.int64]]:
    """Rows of one resample after another: the same ones for the same count, so paired."""
    rng = np.random.default_rng(20)
    for _ in range(RESAMPLES):
        yield rng.integers(count, size=count)


def _spanned(value: float, resampled: Sequence[float]) -> Figure:
    low, high = np.percentile(resampled, [2.5, 97.5])
    return Figure(value, float(low), float(high))
