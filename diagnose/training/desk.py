"""Training with records: what a trainee may begin, where they left off, and how they stand."""

from __future__ import annotations

import secrets
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from functools import cached_property

from diagnose.advice.assessor import Assessor
from diagnose.records.store.shop_settings import put_in_shop, read_shop
from diagnose.records.store.store import Store
from diagnose.training.course.course import CourseUnit, Teaching
from diagnose.training.course.course_lessons import Lesson, another_customer, lesson_scenario
from diagnose.training.course.exam import Exam, SittingResult, draw_sitting, exam_case
from diagnose.training.course.progress import (
    Progress,
    Ready,
    UnitState,
    newly_open,
    progress,
    readiness,
    sittings,
    under_way,
    unit_states,
)
from diagnose.training.course.repetition import Repeat, RepeatItem, case_for, due, repeats
from diagnose.training.customers.scenario import Scenario, scenario_named
from diagnose.training.play.encounter import Encounter
from diagnose.training.play.judging import Judge
from diagnose.training.play.moves import HandBack
from diagnose.training.records.attempts import AttemptBook, AttemptRow
from diagnose.training.records.kept_encounter import KeptEncounter, RulesChanged, begin, resume
from diagnose.training.records.trainee_book import Sitting, Trainee, TraineeBook
from diagnose.training.records.trainee_entries import (
    ExampleSeen,
    SignedOff,
    SittingBegun,
    SittingEnded,
    UnitOpened,
)
from diagnose.words.chances import counted
from rules.problems import BadInput

EXAM_DRAW = "exam-draw"
RETURN_WITHIN = timedelta(minutes=10)
"""A case of an exam can be gone on with for so long after the last step (our own choice)."""


@dataclass(frozen=True, slots=True)
class TraineeStanding:
    """Everything about a trainee at a moment.

    `rows` are all their cases. What those come to leaves out an exam that is under way, so that
    nothing of it is given away.
    """

    trainee: Trainee
    pack: str
    rows: Sequence[AttemptRow]
    states: Sequence[UnitState]
    progress: Progress
    sat: Sequence[SittingResult]
    ready: Ready
    repeats: Sequence[Repeat]

    def due(self, now: datetime) -> list[Repeat]:
        """The items to be repeated now, soonest due first."""
        return due(self.repeats, now)

    @property
    def under_way(self) -> frozenset[int]:
        """The numbers of the sittings that have not ended."""
        return under_way(self.sat)

    @property
    def next_lesson(self) -> Lesson | None:
        """What comes next in the first open unit not done; None at the end."""
        here = (state for state in self.states if state.is_open and not state.is_done)
        return next((state.next_lesson for state in here), None)

    def state_of(self, lesson: Lesson) -> UnitState:
        """The unit of a lesson as the trainee has it."""
        return next(state for state in self.states if state.unit.id == lesson.unit)

    def is_to_be_seen(self, lesson: Lesson) -> bool:
        """Whether the lesson is an example that is still to be gone through."""
        return self.state_of(lesson).example == lesson


class TrainingDesk:
    """A rule base's guide and course at work on a store."""

    def __init__(
        self,
        teaching: Teaching,
        store: Store,
        new_secret: Callable[[], str] = secrets.token_hex,
    ) -> None:
        self._new_secret = new_secret
        self.teaching = teaching
        self.rules = teaching.rules
        self.guide = teaching.guide
        self.course = teaching.course
        self.trainees = TraineeBook(store)
        self.attempts = AttemptBook(store, self.rules.info.id)

    @cached_property
    def assessor(self) -> Assessor:
        """The rule base at work; made when the first case begins."""
        return Assessor(self.rules)

    @property
    def pack(self) -> str:
        """The id of the rule base."""
        return self.rules.info.id

    def standing(self, name: str) -> TraineeStanding:
        """How a trainee stands. Raises `NotFound`, `StoreProblem`."""
        return self.standing_of(self.trainees.read(name))

    def standing_of(self, trainee: Trainee) -> TraineeStanding:
        """How a trainee stands whose record has been read. Raises `StoreProblem`."""
        rows = self.attempts.rows(trainee)
        sat = sittings(trainee, self.pack, rows)
        open_now = under_way(sat)
        seen = [row for row in rows if row.sitting not in open_now]
        states = unit_states(self.course, trainee, self.pack, seen)
        return TraineeStanding(
            trainee,
            self.pack,
            rows,
            states,
            progress(seen),
            sat,
            readiness(self.course, states, sat, seen),
            repeats(self.course, seen),
        )

    # -- cases -----------------------------------------------------------------------------------

    def begin_lesson(
        self, name: str, lesson: Lesson, *, coach: bool = False, hints: bool = True
    ) -> KeptEncounter:
        """A lesson for a trainee, gone on with where it was left open.

        Raises `BadInput` where its unit is locked.
        """
        now = self.standing(name)
        for before, state in zip([None, *now.states], now.states, strict=False):
            if state.unit.id == lesson.unit and not state.is_open:
                opening = f"; {still_needed(before)}" if before else ""
                raise BadInput(
                    f"{state.unit.title!r} is not open to {now.trainee.name} yet{opening}"
                )
        return self._begin_lesson(now, lesson, coach=coach, hints=hints)

    def _begin_lesson(
        self, now: TraineeStanding, lesson: Lesson, *, coach: bool, hints: bool = True
    ) -> KeptEncounter:
        """The lesson's own customer the first time, unless a technician works that one, and another
        each time after that."""
        before = [
            frozenset(row.result.causes)
            for row in now.rows
            if row.lesson == lesson.id and row.sitting is None and row.result is not None
        ]
        worked = self.course.worked
        if before or self.course.is_example(lesson):
            lesson = another_customer(
                self.rules, self.guide, lesson, worked, now.trainee.id, before
            )
        scenario = lesson_scenario(self.rules, self.guide, lesson, worked)
        encounter = self._begin(now.trainee, scenario, lesson, coach=coach, hints=hints)
        shown, encounter.feedback = self.course.begins_at(lesson)
        encounter.counts = True
        if 0 < shown < 1 and not before and not encounter.steps:
            encounter.show(shown)
        return encounter

    def worked_example(self, lesson: Lesson) -> Encounter:
        """The lesson's own customer, worked by a technician from the complaint to the bike's
        leaving."""
        scenario = lesson_scenario(self.rules, self.guide, lesson, self.course.worked)
        encounter = Encounter(self.assessor, self.guide, scenario)
        if lesson.words:
            encounter.customer = replace(encounter.customer, words=(lesson.words,))
        encounter.go_on_as_advised()
        return encounter

    def note_example(self, name: str, lesson: Lesson) -> None:
        """Put on record that a trainee has gone through the worked example of a lesson."""
        if lesson.id not in self.trainees.read(name).examples_seen(self.pack):
            self.trainees.append(name, [ExampleSeen(pack=self.pack, lesson=lesson.id)])

    def begin_case(
        self,
        name: str,
        scenario: Scenario,
        words: str = "",
        *,
        coach: bool = False,
        hints: bool = True,
    ) -> KeptEncounter:
        """Any other case for a trainee, gone on with where it was left open."""
        trainee = self.trainees.read(name)
        return self._begin(trainee, scenario, None, words, coach=coach, hints=hints)

    def begin_repeat(self, name: str, item: RepeatItem, *, coach: bool = False) -> KeptEncounter:
        """A case to repeat an item with."""
        now = self.standing(name)
        scenario_name, lesson = case_for(
            self.rules, self.guide, self.course, now.states, now.rows, item
        )
        if lesson is not None:
            return self._begin_lesson(now, lesson, coach=coach)
        scenario = scenario_named(self.rules, self.guide, scenario_name, self.course.worked)
        encounter = self._begin(now.trainee, scenario, None, coach=coach)
        encounter.counts = True
        return encounter

    def _begin(
        self,
        trainee: Trainee,
        scenario: Scenario,
        lesson: Lesson | None,
        words: str = "",
        sitting: int | None = None,
        *,
        coach: bool = False,
        hints: bool = True,
    ) -> KeptEncounter:
        key = lesson.id if lesson is not None else None
        same = [
            row
            for row in self.attempts.rows(trainee)
            if (row.scenario, row.lesson, row.sitting) == (scenario.id, key, sitting)
        ]
        if same and same[-1].result is None:
            attempt = self.attempts.read(same[-1].id)
            try:
                return resume(self.assessor, self.guide, scenario, self.attempts, attempt)
            except RulesChanged:
                pass  # the rule base is another one now: the case can only be begun anew
        return begin(
            self.assessor,
            self.guide,
            scenario,
            self.attempts,
            trainee,
            lesson=key,
            words=lesson.words if lesson is not None else words,
            sitting=sitting,
            coach=coach,
            hints=hints,
        )

    def after_case(self, name: str) -> list[CourseUnit]:
        """Put on record what a case has opened; the units that are open now and were not."""
        now = self.standing(name)
        fresh = newly_open(now.states, now.trainee, self.pack)
        if fresh:
            self.trainees.append(name, [UnitOpened(pack=self.pack, unit=key) for key in fresh])
        return [self.course.unit(key) for key in fresh if key != self.course.units[0].id]

    def sign_off(self, name: str, unit: str, by: str, numbers: Sequence[int] = ()) -> list[str]:
        """Put on record what a trainer has seen a trainee do at a real bike: the lines of a unit
        with these numbers from 1, or all. Returns them. Raises `BadInput`, `StoreProblem`."""
        found = self.course.unit(unit)
        if not by.strip():
            raise BadInput("say who signs it off")
        if not found.at_the_bike:
            raise BadInput(f"{found.title!r} has nothing to be shown at a bike")
        for number in numbers:
            if not 1 <= number <= len(found.at_the_bike):
                raise BadInput(
                    f"{number} is not a line of it; there are 1 to {len(found.at_the_bike)}"
                )
        shown = [
            line
            for number, line in enumerate(found.at_the_bike, 1)
            if not numbers or number in numbers
        ]
        entry = SignedOff(pack=self.pack, unit=found.id, shown=shown, by=by.strip())
        self.trainees.append(name, [entry])
        return shown

    def sign_off_lines(self, name: str, seen: Sequence[tuple[str, int]], by: str) -> None:
        """The same for lines of several units: each a unit and the number of its line."""
        units = dict.fromkeys(unit for unit, _ in seen)
        for unit in units:
            self.sign_off(name, unit, by, [number for own, number in seen if own == unit])

    # -- exams -----------------------------------------------------------------------------------

    def begin_sitting(self, name: str, exam: Exam) -> Sitting:
        """Sit down to an exam, or go on with the sitting of it that is open.

        Raises `BadInput` where the last one is too short a while ago.
        """
        trainee = self.trainees.read(name)
        sat = [s for s in trainee.sittings(self.pack) if s.begun.exam == exam.name]
        if sat and sat[-1].ended is None:
            return sat[-1]
        if sat and sat[-1].ended is not None:
            again = sat[-1].ended + timedelta(days=exam.wait_days)
            if self.trainees.store.now() < again:
                raise BadInput(
                    f"{exam.title!r} can be sat again from {again.astimezone():%d %b %Y, %H:%M} on"
                )
        cases, advised = list(exam.cases), None
        if exam.draw:
            who = f"{trainee.id}:{len(trainee.entries)}"
            judge = Judge.of(self.assessor, self.guide)
            cases, advised = draw_sitting(judge, exam, self._secret(), who)
        begun = SittingBegun(
            pack=self.pack,
            exam=exam.name,
            title=exam.title,
            cases=cases,
            pass_mark=exam.pass_mark,
            advised=advised,
        )
        return self.trainees.append(name, [begun]).sittings(self.pack)[-1]

    def next_exam_case(self, name: str, sitting: Sitting) -> KeptEncounter | None:
        """The case of a sitting to go on with; None when all are done. One that was left for longer
        than `RETURN_WITHIN` is given back as it stands."""
        trainee = self.trainees.read(name)
        own = {
            row.lesson or row.scenario: row
            for row in self.attempts.rows(trainee)
            if row.sitting == sitting.number
        }
        for case in sitting.begun.cases:
            row = own.get(case)
            if row is not None and row.result is not None:
                continue
            scenario, lesson = exam_case(self.teaching, case)
            encounter = self._begin(trainee, scenario, lesson, sitting=sitting.number)
            goes_on = row is not None and encounter.attempt.id == row.id
            if row is None or not goes_on or not self._is_left(row):
                return encounter
            encounter.take(HandBack())
        return None

    def _is_left(self, row: AttemptRow) -> bool:
        return self.trainees.store.now() - row.changed > RETURN_WITHIN

    def _secret(self) -> str:
        """What decides which cases this shop's exams draw; made when first needed."""
        store = self.trainees.store
        if not read_shop(store, [EXAM_DRAW]):
            put_in_shop(store, EXAM_DRAW, self._new_secret())
        return read_shop(store, [EXAM_DRAW])[EXAM_DRAW]

    def end_sitting(self, name: str, sitting: Sitting, *, given_up: bool = False) -> None:
        """Put on record that a sitting is over."""
        ended = SittingEnded(sitting=sitting.number, given_up=given_up)
        self.trainees.append(name, [ended])


def still_needed(state: UnitState) -> str:
    """What a unit lacks before the next one opens, in words."""
    unit = state.unit
    count = counted(unit.lessons_needed, "lesson")
    return (
        f"{unit.title!r} needs {count} with {unit.score_needed:g} points or more, and has "
        f"{state.passed}"
    )
