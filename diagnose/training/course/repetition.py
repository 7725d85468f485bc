"""What was got wrong comes back, after gaps that grow for as long as it is got right.

The gaps are those of the `fsrs` library (free spaced repetition scheduler), in whole days, without
chance. A lesson, a measure or a group of causes enters when it is missed for the first time; from
then on every case that touches it counts. Nothing is kept: it follows from the attempts.
"""

from __future__ import annotations

import zlib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Literal

from fsrs import Card, Rating, Scheduler

from diagnose.training.course.course import Course
from diagnose.training.course.course_lessons import Lesson
from diagnose.training.course.progress import UnitState, finished
from diagnose.training.customers.guide import Guide
from diagnose.training.customers.scenario import WORKED, draw_scenario, scenario_id
from diagnose.training.records.attempts import AttemptRow
from diagnose.training.records.results import AttemptResult
from rules.language.courses import Repetition
from rules.rulebase import RuleBase

Kind = Literal["lesson", "measure", "group"]
_MOST_DRAWS = 400


@dataclass(frozen=True, slots=True)
class RepeatItem:
    """Something that can be got wrong: a lesson, a measure or a group of causes, by id."""

    kind: Kind
    id: str


@dataclass(frozen=True, slots=True)
class Repeat:
    """An item that was missed, and when it comes back. `gap` is in days."""

    item: RepeatItem
    misses: int
    last: datetime
    due: datetime
    gap: int


class Spacing:
    """The library's scheduler with a course's figures."""

    def __init__(self, figures: Repetition) -> None:
        self._figures = figures
        self._scheduler = Scheduler(
            desired_retention=figures.known_when_due,
            learning_steps=(),
            relearning_steps=(),
            maximum_interval=figures.longest_days,
            enable_fuzzing=False,
        )

    def missed(self, points: float) -> bool:
        """Whether so many points of a hundred are a miss."""
        return points < self._figures.hard_from

    def rate(self, points: float) -> Rating:
        """The rating for so many points of a hundred: again, hard, good or easy."""
        figures = self._figures
        if self.missed(points):
            return Rating.Again
        if points < figures.good_from:
            return Rating.Hard
        return Rating.Good if points < figures.easy_from else Rating.Easy

    def after(self, card: Card | None, points: float, at: datetime) -> Card:
        """The card after one more answer."""
        start = card or Card(card_id=1, due=at)
        moved, _ = self._scheduler.review_card(start, self.rate(points), at)
        return moved


def repeats(course: Course, rows: Sequence[AttemptRow]) -> list[Repeat]:
    """Everything that was ever missed, soonest due first."""
    spacing = Spacing(course.repetition)
    cards: dict[RepeatItem, Card] = {}
    misses: dict[RepeatItem, int] = {}
    for row in finished(rows):
        assert row.result is not None
        for item, points in _touched(course, row.lesson, row.result):
            missed = spacing.missed(points)
            if item in cards or missed:
                cards[item] = spacing.after(cards.get(item), points, row.changed)
                misses[item] = misses.get(item, 0) + missed
    found = [_repeat(item, card, misses[item]) for item, card in cards.items()]
    return sorted(found, key=lambda repeat: (repeat.due, repeat.item.kind, repeat.item.id))


def due(found: Sequence[Repeat], now: datetime) -> list[Repeat]:
    """What is to be repeated now; also what was taken up by a clock that ran ahead of this one."""
    return [repeat for repeat in found if repeat.due <= now or repeat.last > now]


def _repeat(item: RepeatItem, card: Card, misses: int) -> Repeat:
    assert card.last_review is not None
    gap = card.due - card.last_review
    return Repeat(item, misses, card.last_review, card.due, round(gap / timedelta(days=1)))


def _touched(
    course: Course, lesson: str | None, result: AttemptResult
) -> Iterator[tuple[RepeatItem, float]]:
    """The items that a case touches, with the points of a hundred that each got."""
    if lesson is not None and any(lesson == known.id for known in course.lessons):
        yield RepeatItem("lesson", lesson), result.total
    for measure, share in result.measures.items():
        yield RepeatItem("measure", measure), 0.0 if result.failed else 100 * share
    for group in result.groups:
        yield RepeatItem("group", group), 100 * result.right


def case_for(
    rules: RuleBase,
    guide: Guide,
    course: Course,
    states: Sequence[UnitState],
    rows: Sequence[AttemptRow],
    item: RepeatItem,
) -> tuple[str, Lesson | None]:
    """The case to repeat an item with: its scenario's id, and the lesson where it is one.

    A lesson is given again, by the desk with another customer. A measure comes back in a lesson of
    an open unit that drills it, the one done longest ago or not at all yet; a group of causes in a
    worked case of that group that was not played, else in one drawn.
    """
    if item.kind == "lesson":
        lesson = course.lesson(item.id)
        return lesson.scenario, lesson
    if item.kind == "measure":
        lessons = [
            le for s in states if s.is_open for le in s.unit.lessons if item.id in s.unit.drills
        ]
        lessons = lessons or [le for s in states if s.is_open for le in s.unit.lessons]
        done = {row.lesson: row.id for row in rows}
        lesson = min(lessons, key=lambda le: done.get(le.id, 0))
        return lesson.scenario, lesson
    played = {row.scenario: row.id for row in rows}
    worked = [
        f"{WORKED}:{case.name}"
        for case in course.worked
        if any(rules.causes[cause].group == item.id for cause in case.truth)
    ]
    fresh = [name for name in worked if name not in played]
    if fresh:
        name = min(fresh, key=lambda n: zlib.crc32(n.encode()))
        by_scenario: Mapping[str, Lesson] = {
            le.scenario: le for s in states if s.is_open for le in s.unit.lessons
        }
        return name, by_scenario.get(name)
    return _drawn(rules, guide, item.id, played), None


def _drawn(rules: RuleBase, guide: Guide, group: str, played: Mapping[str, int]) -> str:
    """A drawn case of a group that was not played yet; any case where none turns up."""
    first = zlib.crc32(group.encode()) % 1_000_000
    for seed in range(first, first + _MOST_DRAWS):
        truth = draw_scenario(rules, guide, seed).truth
        if scenario_id(seed) not in played and any(
            rules.causes[cause].group == group for cause in truth.causes
        ):
            return scenario_id(seed)
    return scenario_id(first + len(played))
