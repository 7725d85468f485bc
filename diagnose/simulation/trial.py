"""Many simulated cases under several policies, on every core, and what they say with intervals."""

from __future__ import annotations

import multiprocessing
import os
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from diagnose.interview import Workshop
from diagnose.simulation.machine import draw_truth
from diagnose.simulation.policies import ChecklistPolicy, EnginePolicy, Policy
from diagnose.simulation.run import Outcome, run_case
from rules.loader import load_pack

_workshop: Workshop | None = None


@dataclass(frozen=True, slots=True)
class Figure:
    """A mean over cases with its 95 % interval (percentile bootstrap over cases)."""

    mean: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Summary:
    """How one policy did: costs in minutes, shares from 0 to 1."""

    cases: int
    minutes: Figure
    observations: Figure
    corrections: Figure
    cured: Figure
    first: Figure
    top_three: Figure


def policy_named(checklist: Sequence[str]) -> Policy:
    """The engine's own policy, or a fixed list of observations when one is given."""
    return ChecklistPolicy(checklist) if checklist else EnginePolicy()


def _open(pack: Path) -> None:
    global _workshop  # noqa: PLW0603  # one rule base per worker process
    _workshop = Workshop(load_pack(pack))


def _one(job: tuple[int, tuple[str, ...]]) -> Outcome:
    seed, checklist = job
    assert _workshop is not None
    return run_case(_workshop, draw_truth(_workshop.rules, seed), seed, policy_named(checklist))


def run_trial(
    pack: Path,
    seeds: Sequence[int],
    checklist: Sequence[str] = (),
    progress: Callable[[], None] = lambda: None,
) -> list[Outcome]:
    """Outcomes of the same seeds in order, worked on all cores.

    Raises `FileProblems` when the pack is unsound.
    """
    load_pack(pack)  # so that a mistake is told here and not by a dying worker
    context = multiprocessing.get_context("spawn")
    jobs = [(seed, tuple(checklist)) for seed in seeds]
    with ProcessPoolExecutor(os.cpu_count(), context, _open, (pack,)) as pool:
        return list(_counted(pool.map(_one, jobs, chunksize=4), progress))


def _counted(outcomes: Iterator[Outcome], progress: Callable[[], None]) -> Iterator[Outcome]:
    for outcome in outcomes:
        progress()
        yield outcome


def summarise(outcomes: Sequence[Outcome]) -> Summary:
    """Means and intervals."""
    return Summary(
        len(outcomes),
        figure([o.minutes for o in outcomes]),
        figure([float(o.observations) for o in outcomes]),
        figure([float(o.corrections) for o in outcomes]),
        figure([float(o.cured) for o in outcomes]),
        figure([float(o.first) for o in outcomes]),
        figure([float(o.top_three) for o in outcomes]),
    )


def figure(values: Sequence[float]) -> Figure:
    """Mean and 95 % percentile-bootstrap interval (Efron, 1979, from memory), seeded."""
    data = np.asarray(values, dtype=np.float64)
    rng = np.random.default_rng(20)
    means = data[rng.integers(len(data), size=(2000, len(data)))].mean(axis=1)
    low, high = np.percentile(means, [2.5, 97.5])
    return Figure(float(data.mean()), float(low), float(high))


def ratio(ours: Sequence[float], theirs: Sequence[float]) -> Figure:
    """Ratio of means on the same cases, with its 95 % interval from resampling whole cases."""
    one, other = np.asarray(ours, dtype=np.float64), np.asarray(theirs, dtype=np.float64)
    rng = np.random.default_rng(21)
    rows = rng.integers(len(one), size=(2000, len(one)))
    ratios = one[rows].mean(axis=1) / other[rows].mean(axis=1)
    low, high = np.percentile(ratios, [2.5, 97.5])
    return Figure(float(one.mean() / other.mean()), float(low), float(high))
