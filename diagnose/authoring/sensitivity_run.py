"""The sensitivity of a stack of packs, on every core."""

from __future__ import annotations

import functools
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from diagnose.advice.workshop import Workshop
from diagnose.authoring.sensitivity import Bench, Effect, tornado
from diagnose.authoring.strengths import Strength, strengths
from diagnose.authoring.trials.trial import Stack, own_cases
from diagnose.batch.every_core import on_every_core
from diagnose.case.files import load_worked_case
from rules.loading.loader import load_packs

CHUNK = 32


@dataclass(frozen=True, slots=True)
class Sensitivity:
    """What every strength does, the strongest first; `cases` and `truth` are what it was held
    against: how many worked cases, and the mean probability of their true causes."""

    effects: tuple[Effect, ...]
    cases: int
    truth: float
    skipped: tuple[Path, ...]


def sensitivity(
    stack: Stack,
    started: Callable[[int], None] = lambda count: None,
    progress: Callable[[], None] = lambda: None,
) -> Sensitivity | None:
    """Every strength moved by itself; None where there are no worked cases.

    `started` is told how many strengths there are. Raises `FileProblems`.
    """
    rules = load_packs(stack)
    paths, left_out = own_cases(stack, rules)
    if not paths:
        return None
    cases = [load_worked_case(rules, path) for path in paths]
    jobs = [(stack, strength) for strength in strengths(rules)]
    started(len(jobs))
    effects = on_every_core(_effect, jobs, progress, CHUNK)
    bench = Bench(Workshop(rules), cases)
    return Sensitivity(tuple(tornado(effects)), len(cases), bench.truth, tuple(left_out))


def _effect(job: tuple[Stack, Strength]) -> Effect:
    stack, strength = job
    return _bench(stack).effect(strength)


@functools.cache
def _bench(stack: Stack) -> Bench:
    rules = load_packs(stack)
    cases = [load_worked_case(rules, path) for path in own_cases(stack, rules)[0]]
    return Bench(Workshop(rules), cases)
