"""How far a trainee has come: units opened and done, what is known well and what is not."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from diagnose.simulation.intervals import figure
from diagnose.training.course.course import Course, CourseUnit
from diagnose.training.course.course_lessons import Lesson
from diagnose.training.course.exam import SittingResult, sitting_result
from diagnose.training.customers.guide import MEASURES
from diagnose.training.records.attempts import AttemptRow
from diagnose.training.records.results import AttemptResult
from diagnose.training.records.trainee_book import Trainee

FEWEST_FOR_INTERVAL = 5
"""An interval over fewer cases than this says more than they do (memory)."""


@dataclass(frozen=True, slots=True)
class UnitState:
    """A unit as a trainee has it. `best` holds the best score of each lesson, None for none yet;
    `shown` what a trainer has signed off at a real bike; `worked` the lessons whose own customer a
    technician works to the end, `example` the one of them still to be gone through."""

    unit: CourseUnit
    is_open: bool
    best: Mapping[str, float | None]
    shown: tuple[str, ...] = ()
    example: Lesson | None = None
    worked: frozenset[str] = frozenset()

    @property
    def next_lesson(self) -> Lesson | None:
        """What comes next here: the example, then every lesson without its score, those with a
        customer of their own first; None when all have it."""
        if self.example is not None:
            return self.example
        left = [
            lesson
            for lesson in self.unit.lessons
            if (best := self.best[lesson.id]) is None or best < self.unit.score_needed
        ]
        return min(left, key=lambda lesson: lesson.id in self.worked, default=None)

    @property
    def passed(self) -> int:
        """How many lessons have the score that is needed."""
        needed = self.unit.score_needed
        return sum(score is not None and score >= needed for score in self.best.values())

    @property
    def not_shown(self) -> tuple[str, ...]:
        """What is still to be shown at a real bike."""
        return tuple(line for line in self.unit.at_the_bike if line not in self.shown)

    @property
    def is_done(self) -> bool:
        """Whether enough lessons have the score that is needed."""
        return self.passed >= self.unit.lessons_needed


@dataclass(frozen=True, slots=True)
class Mean:
    """Values over cases, and their mean (0 over none)."""

    values: tuple[float, ...]

    @property
    def cases(self) -> int:
        """How many there are."""
        return len(self.values)

    @property
    def mean(self) -> float:
        """The mean of the values, 0 where there are none."""
        return sum(self.values) / len(self.values) if self.values else 0.0

    def span(self) -> tuple[float, float] | None:
        """The mean's 95 % interval (bootstrap over cases), None for few cases. It takes a while."""
        if len(self.values) < FEWEST_FOR_INTERVAL:
            return None
        found = figure(self.values)
        return found.low, found.high


@dataclass(frozen=True, slots=True)
class Progress:
    """Everything a trainee's finished cases come to; shares are 0 to 1, scores 0 to 100."""

    passed: int
    unsafe: int
    score: Mean
    measures: Mapping[str, Mean]
    groups: Mapping[str, Mean]


@dataclass(frozen=True, slots=True)
class Ready:
    """Whether a trainee is held ready, and what is lacking."""

    is_ready: bool
    lacks: tuple[str, ...]


def unit_states(
    course: Course, trainee: Trainee, pack: str, rows: Sequence[AttemptRow]
) -> list[UnitState]:
    """Every unit as it stands. What was opened once stays open."""
    opened = trainee.opened(pack)
    best = best_scores(rows)
    signed, seen = trainee.signed_off(pack), trainee.examples_seen(pack)
    states: list[UnitState] = []
    before_done = True
    for unit in course.units:
        scores = {lesson.id: best.get(lesson.id) for lesson in unit.lessons}
        shown = tuple(line for entry, _ in signed if entry.unit == unit.id for line in entry.shown)
        worked = [lesson for lesson in unit.lessons if course.is_example(lesson)]
        state = UnitState(
            unit,
            before_done or unit.id in opened,
            scores,
            shown,
            next((lesson for lesson in worked if lesson.id not in seen), None),
            frozenset(lesson.id for lesson in worked),
        )
        states.append(state)
        before_done = state.is_open and state.is_done
    return states


def best_scores(rows: Sequence[AttemptRow]) -> dict[str, float]:
    """The best score of each lesson done."""
    best: dict[str, float] = {}
    for row in rows:
        if row.result is not None and row.lesson is not None:
            best[row.lesson] = max(best.get(row.lesson, 0.0), row.result.total)
    return best


def newly_open(states: Sequence[UnitState], trainee: Trainee, pack: str) -> list[str]:
    """Units that are open now and not on record as such."""
    opened = trainee.opened(pack)
    return [s.unit.id for s in states if s.is_open and s.unit.id not in opened]


def progress(rows: Sequence[AttemptRow]) -> Progress:
    """What the finished cases come to, in the order they were finished."""
    results = [row.result for row in finished(rows) if row.result is not None]
    groups: dict[str, list[AttemptResult]] = {}
    for result in results:
        for group in result.groups:
            groups.setdefault(group, []).append(result)
    return Progress(
        sum(result.passed for result in results),
        sum(bool(result.failed) for result in results),
        Mean(tuple(result.total for result in results)),
        {
            key: Mean(tuple(r.measures[key] for r in results if key in r.measures))
            for key in MEASURES
        },
        {key: Mean(tuple(r.right for r in some)) for key, some in sorted(groups.items())},
    )


def finished(rows: Sequence[AttemptRow]) -> list[AttemptRow]:
    """Finished attempts in the order they were finished."""
    return sorted(
        (row for row in rows if row.result is not None), key=lambda row: (row.changed, row.id)
    )


def under_way(sat: Iterable[SittingResult]) -> frozenset[int]:
    """The numbers of the sittings that have not ended."""
    return frozenset(result.sitting.number for result in sat if result.sitting.ended is None)


def sittings(trainee: Trainee, pack: str, rows: Sequence[AttemptRow]) -> list[SittingResult]:
    """Every exam sat down to, with what it came to."""
    return [sitting_result(sitting, rows) for sitting in trainee.sittings(pack)]


def readiness(
    course: Course,
    states: Sequence[UnitState],
    sat: Sequence[SittingResult],
    rows: Sequence[AttemptRow],
) -> Ready:
    """Whether a trainee reaches the course's thresholds; the latest exam that is over counts."""
    wanted = course.ready
    lacks = []
    done = sum(state.is_done for state in states)
    if done < wanted.units_done * len(states) - 1e-9:
        lacks.append(f"{done} of {len(states)} units done")
    results = [row.result for row in finished(rows) if row.result is not None]
    last = results[-wanted.last_cases :]
    if len(last) < wanted.last_cases:
        lacks.append(f"{len(last)} of {wanted.last_cases} cases done")
    else:
        mean = sum(result.total for result in last) / len(last)
        if mean < wanted.mean_score:
            lacks.append(f"mean of the last {len(last)} is {mean:.0f}, not {wanted.mean_score:g}")
    unsafe = sum(bool(result.failed) for result in last)
    if unsafe > wanted.unsafe_at_most:
        lacks.append(f"{unsafe} let out unsafe in the last {len(last)}")
    over = [result for result in sat if result.complete or result.sitting.ended is not None]
    if wanted.exam_passed and not (over and over[-1].passed):
        lacks.append("last exam not passed" if over else "no exam sat")
    unsigned = [state.unit.title for state in states if state.not_shown]
    if wanted.signed_off and unsigned:
        more = f" and {len(unsigned) - 1} more" if len(unsigned) > 1 else ""
        lacks.append(f"not signed off at a real bike: {unsigned[0]}{more}")
    return Ready(not lacks, tuple(lacks))
