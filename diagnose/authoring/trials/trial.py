"""A rule base tried on worked cases and many simulated ones, on every core.

Checklists and another stack of packs can be tried beside it on the same cases.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Literal

from diagnose.advice.assessor import Assessor
from diagnose.authoring.trials.many_faults import ManyFaultsCounts, counts_of, work_bikes
from diagnose.authoring.trials.measures import RANKING
from diagnose.authoring.trials.pack_comparison import PairedCases
from diagnose.authoring.trials.stacks import FEWEST, Stack, assessor_for, rules_of
from diagnose.authoring.trials.trial_bikes import retell, run_across
from diagnose.authoring.trials.working import (
    CaseOutcome,
    ChecklistPolicy,
    Decision,
    ProgramPolicy,
    WayOfWorking,
    judge,
    run_case,
)
from diagnose.batch.every_core import on_every_core
from diagnose.case.files import WorkedCase, load_worked_case
from diagnose.simulation.simulated_bike import draw_truth
from rules.loading.loader import load_packs
from rules.loading.pack_files import OFFROAD, WORKED_CASES, files_beside
from rules.problems import FileProblems
from rules.rulebase import RuleBase

Whose = Literal["both", "this", "other"]
THIS = "simulated, this rule base being the truth"
OTHER = "simulated, the other being the truth"
WHOLE = "worked cases, all facts at once"
TOLD = "worked cases, told bit by bit"
PROGRAM = "the program"
FEWEST_TOLD = 10
Started = Callable[[str, int], None]


@dataclass(frozen=True, slots=True)
class ToldCase:
    """A worked case. `ranked` is what is made of all its facts at once (it costs nothing and cures
    nothing), `retold` how it goes told bit by bit."""

    name: str
    ranked: CaseOutcome
    retold: CaseOutcome


@dataclass(frozen=True, slots=True)
class StackComparison:
    """Two stacks on the same cases. `untold` holds the worked cases that one of them cannot read,
    by whose they are."""

    other: str
    groups: tuple[PairedCases, ...]
    untold: Mapping[str, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class Trial:
    """What came of it. `simulated` holds outcomes by policy ('the program' and each checklist), and
    `people`, for each kind of person, what came of bikes with one to four faults, by policy."""

    name: str
    seeds: tuple[int, ...]
    simulated: Mapping[str, tuple[CaseOutcome, ...]]
    told: tuple[ToldCase, ...]
    skipped: tuple[str, ...] = ()
    people: Mapping[str, Mapping[str, ManyFaultsCounts]] = field(default_factory=dict)
    comparison: StackComparison | None = None


def run_trial(
    stack: Stack,
    seeds: Sequence[int],
    checklists: Mapping[str, Sequence[str]],
    against: Stack = (),
    truth: Whose = "both",
    started: Started = lambda label, length: None,
    progress: Callable[[], None] = lambda: None,
    *,
    worked: bool = True,
    people: Sequence[str] = (),
) -> Trial:
    """Run it, with the worked cases or without, and for some kinds of `people` of the pack's
    policy. `started` is told what begins and how many cases it has. Raises `FileProblems`."""
    rules = load_packs(stack)
    other = load_packs(against) if against else rules
    paths, left_out = own_cases(stack, rules) if worked else ([], [])
    shared: list[Path] = []
    untold: dict[str, tuple[str, ...]] = {}
    if against and worked:
        every = list(dict.fromkeys([*worked_paths(stack, rules), *worked_paths(against, other)]))
        shared, untold = _shared(rules, other, every)
        # told bit by bit a case takes as long as a ride, so there are fewer of them than rides
        shared = _spread(shared, max(FEWEST_TOLD, len(seeds) // 4))
        paths = [path for path in paths if path in shared]
    work = _Work()
    told = work.tell(stack, rules, paths)
    simulated = {
        name: work.simulate(stack, seeds, checklist)
        for name, checklist in {PROGRAM: (), **checklists}.items()
    }
    this = against and truth in ("both", "this")
    that = against and truth in ("both", "other")
    theirs = work.simulate(against, seeds, truth=stack) if this else slice(0)
    # where both draw, the other one draws half as many, for time
    drawn = seeds[: max(FEWEST_TOLD, len(seeds) // 2)] if this else seeds
    one = work.simulate(stack, drawn, truth=against) if that else slice(0)
    two = work.simulate(against, drawn) if that else slice(0)
    more = work.tell(stack, rules, [path for path in shared if path not in paths])
    others = work.tell(against, other, shared)
    started("cases", len(work.jobs))
    done = on_every_core(_job, work.jobs, progress, fewest=FEWEST)
    ran = tuple(done[simulated[PROGRAM]])
    answering: dict[str, dict[str, ManyFaultsCounts]] = {}
    for person in people:
        answering[person] = {}
        for name, checklist in {PROGRAM: (), **checklists}.items():
            started(f"{name}, {rules.policy.people[person].title.lower()}", len(seeds))
            bikes = work_bikes(stack, seeds, progress, person, checklist)
            answering[person][name] = counts_of(bikes)
    comparison = None
    if against:
        names = tuple(f"seed {seed}" for seed in seeds)
        groups = []
        if this:
            groups.append(PairedCases(THIS, names, ran, tuple(done[theirs])))
        if that:
            some = names[: len(drawn)]
            groups.append(PairedCases(OTHER, some, tuple(done[one]), tuple(done[two])))
        if worked:
            by_name = {entry.name: entry for entry in (*done[told], *done[more])}
            ours = [by_name[path.stem] for path in shared]
            groups += _told_pairs(shared, ours, done[others])
        comparison = StackComparison(name_of(other), tuple(groups), untold)
    return Trial(
        name_of(rules),
        tuple(seeds),
        {name: tuple(done[part]) for name, part in simulated.items()},
        tuple(done[told]),
        tuple(path.stem for path in left_out),
        answering,
        comparison,
    )


class _Work:
    """Everything that is to be worked, gathered so that the cores are started once. Each part is a
    slice of the results."""

    def __init__(self) -> None:
        self.jobs: list[_Job] = []

    def simulate(
        self,
        stack: Stack,
        seeds: Sequence[int],
        checklist: Sequence[str] = (),
        truth: Stack | None = None,
    ) -> slice:
        drawing = stack if truth is None else truth
        return self._add(_Simulated(stack, drawing, tuple(checklist), seed) for seed in seeds)

    def tell(self, stack: Stack, rules: RuleBase, paths: Sequence[Path]) -> slice:
        for path in paths:
            load_worked_case(rules, path)
        return self._add(_Told(stack, path) for path in paths)

    def _add(self, jobs: Iterable[_Job]) -> slice:
        start = len(self.jobs)
        self.jobs += jobs
        return slice(start, len(self.jobs))


@dataclass(frozen=True, slots=True)
class _Simulated:
    stack: Stack
    drawing: Stack
    checklist: tuple[str, ...]
    seed: int


@dataclass(frozen=True, slots=True)
class _Told:
    stack: Stack
    path: Path


_Job = _Simulated | _Told


def _job(job: _Job) -> Any:
    return _tell(job) if isinstance(job, _Told) else _simulate(job)


def _shared(
    rules: RuleBase, other: RuleBase, paths: Sequence[Path]
) -> tuple[list[Path], dict[str, tuple[str, ...]]]:
    """The worked cases that both can read, and those that one of them cannot, by whose they are."""
    by_this, by_other = set(readable_by(rules, paths)), set(readable_by(other, paths))
    untold = {
        "this": _stems(paths, by_other - by_this),
        "the other": _stems(paths, by_this - by_other),
    }
    return [path for path in paths if path in by_this and path in by_other], untold


def _spread(paths: Sequence[Path], most: int) -> list[Path]:
    """At most so many of the paths, evenly over all."""
    if len(paths) <= most:
        return list(paths)
    return [paths[number * len(paths) // most] for number in range(most)]


def _told_pairs(
    paths: Sequence[Path], ours: Sequence[ToldCase], others: Sequence[ToldCase]
) -> list[PairedCases]:
    stems = tuple(path.stem for path in paths)
    return [
        PairedCases(
            WHOLE, stems, tuple(t.ranked for t in ours), tuple(t.ranked for t in others), RANKING
        ),
        PairedCases(TOLD, stems, tuple(t.retold for t in ours), tuple(t.retold for t in others)),
    ]


def _stems(paths: Sequence[Path], chosen: set[Path]) -> tuple[str, ...]:
    return tuple(path.stem for path in paths if path in chosen)


def name_of(rules: RuleBase) -> str:
    """`offroad 1` or `offroad 1 + our-shop 3`."""
    return " + ".join(f"{pack.id} {pack.version}" for pack in rules.packs)


def simulate(
    stack: Stack,
    seeds: Sequence[int],
    checklist: Sequence[str] = (),
    truth: Stack | None = None,
    progress: Callable[[], None] = lambda: None,
) -> list[CaseOutcome]:
    """Outcomes of the seeds in order under the packs of `stack`.

    A checklist replaces the program's own choice of steps. `truth` are the packs that draw and
    simulate the bikes, the same as are at work where it is not given. Raises `FileProblems` when
    a pack is unsound.
    """
    drawing = stack if truth is None else truth
    for packs in {stack, drawing}:
        load_packs(packs)  # so that a mistake is told here and not by a worker
    jobs = [_Simulated(stack, drawing, tuple(checklist), seed) for seed in seeds]
    return on_every_core(_simulate, jobs, progress, fewest=FEWEST)


def _simulate(job: _Simulated) -> CaseOutcome:
    stack, drawing, checklist, seed = job.stack, job.drawing, job.checklist, job.seed
    assessor = assessor_for(stack)
    policy: WayOfWorking = ChecklistPolicy(checklist) if checklist else ProgramPolicy()
    if drawing == stack:
        return run_case(assessor, draw_truth(assessor.rules, seed), seed, policy)
    known = rules_of(drawing)
    return run_across(assessor, known, draw_truth(known, seed), seed, policy)


def tell(
    stack: Stack, paths: Sequence[Path], progress: Callable[[], None] = lambda: None
) -> list[ToldCase]:
    """What the packs make of worked cases, in order. Raises `FileProblems`."""
    rules = load_packs(stack)
    for path in paths:
        load_worked_case(rules, path)
    return on_every_core(_tell, [_Told(stack, path) for path in paths], progress, fewest=FEWEST)


def _tell(job: _Told) -> ToldCase:
    stack, path = job.stack, job.path
    assessor = assessor_for(stack)
    worked = load_worked_case(assessor.rules, path)
    belief = assessor.model.believe(worked.case)
    decision = judge(worked.truth, assessor.model.rank(belief))
    retold = retell(assessor, worked, ProgramPolicy())
    return ToldCase(worked.name, CaseOutcome(retold.truth, decision, 0.0, 0, 0, False), retold)


def rank(
    stack: Stack, paths: Sequence[Path], progress: Callable[[], None] = lambda: None
) -> list[Decision]:
    """What the packs make of all facts of worked cases, in order. Raises `FileProblems`."""
    assessor = Assessor(load_packs(stack))
    cases = [load_worked_case(assessor.rules, path) for path in paths]
    decisions = []
    for case in cases:
        decisions.append(judge(case.truth, assessor.model.rank(assessor.model.believe(case.case))))
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
