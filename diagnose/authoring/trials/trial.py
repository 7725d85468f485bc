"""Worked cases and many simulated ones under packs and policies, on every core."""

from __future__ import annotations

import functools
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from diagnose.advice.workshop import Workshop
from diagnose.authoring.trials.crossing import run_across
from diagnose.authoring.trials.policies import ChecklistPolicy, EnginePolicy, Policy
from diagnose.authoring.trials.retelling import retell
from diagnose.authoring.trials.run import Decision, Outcome, judge, run_case
from diagnose.batch.every_core import on_every_core
from diagnose.case.files import WorkedCase, load_worked_case
from diagnose.simulation.bikes import draw_truth
from rules.loading.loader import OFFROAD, WORKED_CASES, load_packs
from rules.loading.pack_files import files_beside
from rules.problems import FileProblems
from rules.rulebase import RuleBase

FEWEST = 16
"""Fewer cases are worked in this process: to start others would take longer."""

Stack = tuple[Path, ...]
"""Folders of packs, each building on those before it; empty for the pack that ships."""


@dataclass(frozen=True, slots=True)
class Told:
    """A worked case. `ranked` is what is made of all its facts at once (it costs nothing and cures
    nothing), `retold` how it goes told bit by bit."""

    name: str
    ranked: Outcome
    retold: Outcome


def simulate(
    stack: Stack,
    seeds: Sequence[int],
    checklist: Sequence[str] = (),
    truth: Stack | None = None,
    progress: Callable[[], None] = lambda: None,
) -> list[Outcome]:
    """Outcomes of the seeds in order under the packs of `stack`.

    A checklist replaces the program's own choice of steps. `truth` are the packs that draw and
    simulate the machines, the same as are at work where it is not given. Raises `FileProblems` when
    a pack is unsound.
    """
    drawing = stack if truth is None else truth
    for packs in {stack, drawing}:
        load_packs(packs)  # so that a mistake is told here and not by a worker
    jobs = [(stack, drawing, tuple(checklist), seed) for seed in seeds]
    return on_every_core(_simulate, jobs, progress, fewest=FEWEST)


def _simulate(job: tuple[Stack, Stack, tuple[str, ...], int]) -> Outcome:
    stack, drawing, checklist, seed = job
    workshop = _workshop(stack)
    policy: Policy = ChecklistPolicy(checklist) if checklist else EnginePolicy()
    if drawing == stack:
        return run_case(workshop, draw_truth(workshop.rules, seed), seed, policy)
    known = _rules(drawing)
    return run_across(workshop, known, draw_truth(known, seed), seed, policy)


def tell(
    stack: Stack, paths: Sequence[Path], progress: Callable[[], None] = lambda: None
) -> list[Told]:
    """What the packs make of worked cases, in order. Raises `FileProblems`."""
    rules = load_packs(stack)
    for path in paths:
        load_worked_case(rules, path)
    return on_every_core(_tell, [(stack, path) for path in paths], progress, fewest=FEWEST)


def _tell(job: tuple[Stack, Path]) -> Told:
    stack, path = job
    workshop = _workshop(stack)
    worked = load_worked_case(workshop.rules, path)
    belief = workshop.model.believe(worked.case)
    decision = judge(worked.truth, workshop.model.rank(belief))
    retold = retell(workshop, worked, EnginePolicy())
    return Told(worked.name, Outcome(retold.truth, decision, 0.0, 0, 0, False), retold)


def rank(
    stack: Stack, paths: Sequence[Path], progress: Callable[[], None] = lambda: None
) -> list[Decision]:
    """What the packs make of all facts of worked cases, in order. Raises `FileProblems`."""
    shop = Workshop(load_packs(stack))
    cases = [load_worked_case(shop.rules, path) for path in paths]
    decisions = []
    for case in cases:
        decisions.append(judge(case.truth, shop.model.rank(shop.model.believe(case.case))))
        progress()
    return decisions


def worked_paths(stack: Stack, rules: RuleBase) -> list[Path]:
    """The files of the worked cases of every pack in the stack that makes `rules`, by pack and
    name."""
    folders = stack if len(stack) == len(rules.packs) else (OFFROAD, *stack)
    return [path for folder in folders for path in files_beside(folder, WORKED_CASES)]


def own_cases(stack: Stack, rules: RuleBase) -> tuple[list[Path], list[Path]]:
    """The worked cases to run, and those of lower packs that name what an upper one took away."""
    top = (stack or (OFFROAD,))[-1] / WORKED_CASES
    paths = worked_paths(stack, rules)
    readable = readable_by(rules, paths)
    chosen = [path for path in paths if path in readable or path.parent == top]
    return chosen, [path for path in paths if path not in chosen]


def readable_by(rules: RuleBase, paths: Sequence[Path]) -> dict[Path, WorkedCase]:
    """The worked cases that name nothing this rule base does not have."""
    return dict(_readable(rules, paths))


def _readable(rules: RuleBase, paths: Sequence[Path]) -> Iterator[tuple[Path, WorkedCase]]:
    for path in paths:
        try:
            yield path, load_worked_case(rules, path)
        except FileProblems:
            continue


@functools.cache
def _rules(stack: Stack) -> RuleBase:
    return load_packs(stack)


@functools.cache
def _workshop(stack: Stack) -> Workshop:
    return Workshop(_rules(stack))
