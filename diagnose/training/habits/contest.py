"""Many simulated cases under several habits, on every core: do scores tell good from bad?"""

from __future__ import annotations

import functools
import gc
from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from diagnose.batch.every_core import on_every_core
from diagnose.simulation.intervals import Average, figure
from diagnose.training.course.course import load_teaching
from diagnose.training.customers.guide import Guide, MeasureId
from diagnose.training.customers.scenario import Level, draw_scenario
from diagnose.training.habits.sharing import SharingJudge
from diagnose.training.habits.trainees import (
    Advised,
    AtRandom,
    Checklist,
    Habit,
    Likeliest,
    LuckyGuess,
    Nothing,
    Untested,
    work,
)
from diagnose.training.play.encounter import Encounter
from diagnose.training.scoring.points import score
from rules.loading.loader import load_packs

EXAM_CASES = 6
"""So many cases in a row are taken as one sitting of an exam."""


@dataclass(frozen=True, slots=True)
class HabitNote:
    """What a habit does, the trainee who has it for a guide and a seed, and whether it deserves to
    pass (None: a matter of taste)."""

    does: str
    trainee: Callable[[Guide, int], Habit]
    deserves: bool | None


HABITS: Mapping[str, HabitNote] = {
    "nothing": HabitNote(
        "gives the bike back as it came", lambda guide, seed: Nothing(), deserves=False
    ),
    "random": HabitNote(
        "looks and changes at random", lambda guide, seed: AtRandom(seed), deserves=False
    ),
    "lucky": HabitNote(
        "puts the right cause right at once, untested",
        lambda guide, seed: LuckyGuess(),
        deserves=False,
    ),
    "checklist": HabitNote(
        "the same checklist on every bike",
        lambda guide, seed: Checklist(guide.checklist.observations),
        deserves=False,
    ),
    "untested": HabitNote(
        "puts right what is likeliest, then the next, without a check",
        lambda guide, seed: Untested(),
        deserves=False,
    ),
    "likeliest": HabitNote(
        "checks what is likeliest, whatever it costs, and puts it right",
        lambda guide, seed: Likeliest(),
        deserves=False,
    ),
    "slips": HabitNote(
        "does what the program advises, with a slip in five steps",
        lambda guide, seed: Advised(5, seed),
        deserves=None,
    ),
    "advised": HabitNote(
        "does what the program advises", lambda guide, seed: Advised(), deserves=True
    ),
}
"""The habits that scores must tell apart."""


@dataclass(frozen=True, slots=True)
class Bout:
    """One habit on one case."""

    habit: str
    seed: int
    total: float
    minutes: float
    steps: int
    passed: bool
    unsafe: bool
    proven: bool
    shares: dict[MeasureId, float]


@dataclass(frozen=True, slots=True)
class HabitStanding:
    """How a habit did over all cases: means with 95 % intervals, shares by measure.

    `middle` is the score that a tenth, half and nine tenths of the cases stay under; `passed` and
    `exams` are the shares of cases passed and of sittings, of `EXAM_CASES` cases each.
    """

    habit: str
    cases: int
    total: Average
    middle: tuple[float, float, float]
    passed: float
    exams: float
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
    judge.forget()
    rules = judge.assessor.rules
    scenario = draw_scenario(rules, judge.guide, job.seed, job.level, job.theme)
    bike = scenario.bike(rules)
    done = []
    for habit in HABITS:
        encounter = Encounter(
            judge.assessor, judge.guide, scenario, judge=judge, bike=bike.as_it_came()
        )
        work(encounter, HABITS[habit].trainee(judge.guide, job.seed))
        result = score(encounter)
        done.append(
            Bout(
                habit,
                job.seed,
                result.total,
                result.minutes,
                len(encounter.steps),
                result.passed,
                bool(result.failed),
                result.find("proven").share == 1,
                {measure.id: measure.share for measure in result.measures},
            )
        )
    return done


def standings(cases: Sequence[Sequence[Bout]], exam_mark: float) -> list[HabitStanding]:
    """The habits in the order of `HABITS`, over the same cases; an exam is passed from
    `exam_mark` points on."""
    found = []
    for habit in HABITS:
        own = [bout for case in cases for bout in case if bout.habit == habit]
        totals = sorted(bout.total for bout in own)
        found.append(
            HabitStanding(
                habit,
                len(own),
                figure(totals),
                (totals[len(own) // 10], totals[len(own) // 2], totals[-1 - len(own) // 10]),
                sum(bout.passed for bout in own) / len(own),
                _exams_passed(own, exam_mark),
                figure([bout.minutes for bout in own]),
                figure([float(bout.steps) for bout in own]),
                figure([float(bout.proven) for bout in own]),
                _shares(own),
            )
        )
    return found


def _shares(bouts: Sequence[Bout]) -> dict[MeasureId, float]:
    """Mean share by measure, over the cases that had something to measure."""
    found: dict[MeasureId, list[float]] = {}
    for bout in bouts:
        for key, share in bout.shares.items():
            found.setdefault(key, []).append(share)
    return {key: sum(some) / len(some) for key, some in found.items()}


def _exams_passed(bouts: Sequence[Bout], mark: float) -> float:
    """Share of sittings passed: the mean reaches the mark and no case was failed as unsafe."""
    sat = [bouts[n : n + EXAM_CASES] for n in range(0, len(bouts) - EXAM_CASES + 1, EXAM_CASES)]
    passed = [
        sum(bout.total for bout in some) / EXAM_CASES >= mark
        and not any(bout.unsafe for bout in some)
        for some in sat
    ]
    return sum(passed) / len(passed) if passed else 0.0


def misjudged(table: Sequence[HabitStanding], pass_mark: float, exam_mark: float) -> list[str]:
    """The habits whose scores are not what they deserve: one that should fail and whose interval
    reaches the lesson's mark, one that should pass and whose does not lie above both."""
    wrong = []
    for row in table:
        deserves = HABITS[row.habit].deserves
        fails = row.total.high < pass_mark
        passes = row.total.low >= max(pass_mark, exam_mark)
        if (deserves is True and not passes) or (deserves is False and not fails):
            wrong.append(row.habit)
    return wrong


@functools.cache
def _judge(packs: tuple[Path, ...]) -> SharingJudge:
    rules = load_packs(packs)
    judge = SharingJudge.on(rules, load_teaching(rules, packs).guide)
    gc.freeze()  # all of it stays to the end, and to look through it for rubbish takes a while
    return judge


def contest_document(
    table: Sequence[HabitStanding],
    cases: Sequence[Sequence[Bout]],
    pass_mark: float,
    exam_mark: float,
) -> dict[str, Any]:
    """A contest as plain data for JSON: how each habit stood, and every bout."""
    return {
        "misjudged": misjudged(table, pass_mark, exam_mark),
        "habits": [asdict(row) for row in table],
        "cases": [[asdict(bout) for bout in case] for case in cases],
    }
