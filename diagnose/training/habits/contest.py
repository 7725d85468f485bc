"""Many simulated cases under several habits, on every core: do scores tell good from bad?"""

from __future__ import annotations

import functools
import itertools
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from diagnose.advice.assessor import Assessor
from diagnose.batch.every_core import on_every_core
from diagnose.simulation.intervals import Average, figure
from diagnose.training.course.course import load_teaching
from diagnose.training.customers.guide import Guide, MeasureId
from diagnose.training.customers.scenario import Level, draw_scenario
from diagnose.training.habits.trainees import Advised, AtRandom, Checklist, Greedy, Habit, work
from diagnose.training.play.encounter import Encounter
from diagnose.training.play.judging import Judge
from diagnose.training.scoring.points import score
from rules.loading.loader import load_packs

HABITS: dict[str, str] = {
    "random": "looks and changes at random",
    "checklist": "the same checklist on every bike",
    "greedy": "whatever is likeliest first",
    "advised": "does what the program advises",
}
"""Habits from the worst to the best, with what each does."""


@dataclass(frozen=True, slots=True)
class Bout:
    """One habit on one case."""

    habit: str
    seed: int
    total: float
    minutes: float
    steps: int
    proven: bool
    shares: dict[MeasureId, float]


@dataclass(frozen=True, slots=True)
class HabitStanding:
    """How a habit did over all cases: means with 95 % intervals, shares by measure."""

    habit: str
    cases: int
    total: Average
    minutes: Average
    steps: Average
    proven: Average
    shares: dict[MeasureId, float]


@dataclass(frozen=True, slots=True)
class ContestJob:
    """The case of a seed, to be worked under every habit."""

    packs: tuple[Path, ...]
    seed: int
    level: Level | None
    theme: str | None


def run_contest(
    packs: tuple[Path, ...],
    seeds: Sequence[int],
    level: Level | None = None,
    theme: str | None = None,
    progress: Callable[[], None] = lambda: None,
) -> list[list[Bout]]:
    """Every habit on the case of every seed, case by case.

    Raises `FileProblems` when the pack or its guide is unsound, `BadInput` for a level or theme
    that makes no case, and `WorkersDied`.
    """
    judge = _judge(packs)  # so that a mistake is told here and not by a dying worker
    if seeds:
        draw_scenario(judge.assessor.rules, judge.guide, seeds[0], level, theme)
    jobs = [ContestJob(packs, seed, level, theme) for seed in seeds]
    return on_every_core(bouts, jobs, progress)


def bouts(job: ContestJob) -> list[Bout]:
    """How each habit does on the case of one seed."""
    judge = _judge(job.packs)
    rules = judge.assessor.rules
    scenario = draw_scenario(rules, judge.guide, job.seed, job.level, job.theme)
    done = []
    for habit in HABITS:
        encounter = Encounter(judge.assessor, judge.guide, scenario, judge=judge)
        work(encounter, trainee_named(habit, judge.guide, job.seed))
        result = score(encounter)
        done.append(
            Bout(
                habit,
                job.seed,
                result.total,
                result.minutes,
                len(encounter.steps),
                result.find("proven").share == 1,
                {measure.id: measure.share for measure in result.measures},
            )
        )
    return done


def trainee_named(habit: str, guide: Guide, seed: int) -> Habit:
    """A trainee with one of `HABITS`."""
    if habit == "random":
        return AtRandom(seed)
    if habit == "checklist":
        return Checklist(guide.checklist.observations)
    return Greedy() if habit == "greedy" else Advised()


def standings(cases: Sequence[Sequence[Bout]]) -> list[HabitStanding]:
    """The habits in the order of `HABITS`, over the same cases."""
    found = []
    for habit in HABITS:
        own = [bout for case in cases for bout in case if bout.habit == habit]
        found.append(
            HabitStanding(
                habit,
                len(own),
                figure([bout.total for bout in own]),
                figure([bout.minutes for bout in own]),
                figure([float(bout.steps) for bout in own]),
                figure([float(bout.proven) for bout in own]),
                {key: sum(bout.shares[key] for bout in own) / len(own) for key in own[0].shares},
            )
        )
    return found


def ranked_apart(table: Sequence[HabitStanding]) -> bool:
    """Whether each habit's interval lies wholly above the one before it."""
    return all(worse.total.high < better.total.low for worse, better in itertools.pairwise(table))


@functools.cache
def _judge(packs: tuple[Path, ...]) -> Judge:
    rules = load_packs(packs)
    return Judge.of(Assessor(rules), load_teaching(rules, packs).guide)


def contest_document(
    table: Sequence[HabitStanding], cases: Sequence[Sequence[Bout]]
) -> dict[str, Any]:
    """A contest as plain data for JSON: how each habit stood, and every bout."""
    return {
        "ranked_apart": ranked_apart(table),
        "habits": [asdict(row) for row in table],
        "cases": [[asdict(bout) for bout in case] for case in cases],
    }
