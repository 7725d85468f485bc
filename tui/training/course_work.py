"""The course of one trainee: begins what is picked from it, and shows what came of it."""

from __future__ import annotations

import secrets
from collections.abc import Callable, Mapping, Sequence
from functools import cached_property, partial
from typing import Any

from diagnose.cards.blocks import Card
from diagnose.records.store.store_problems import StoreProblem
from diagnose.training.certificate import facts_of, training_card
from diagnose.training.course.course import CourseUnit
from diagnose.training.course.course_lessons import Lesson
from diagnose.training.course.exam import Exam, exam_files, load_exam
from diagnose.training.course.progress import finished
from diagnose.training.course.repetition import RepeatItem
from diagnose.training.customers.scenario import (
    LEVEL_WORDS,
    Level,
    draw_scenario,
    level_named,
    scenario_named,
)
from diagnose.training.desk import TraineeStanding, TrainingDesk
from diagnose.training.records.attempts import AttemptRow
from diagnose.training.records.kept_encounter import KeptEncounter
from diagnose.training.scoring.score_document import score_document
from diagnose.training.words.course_words import item_title
from diagnose.words.chances import counted
from tui.cases.card_files import ask_card_file
from tui.dialogs.pick_screen import PickScreen, numbered
from tui.dialogs.prompt_screen import PromptScreen
from tui.dialogs.rows_screen import ListedRow, RowsScreen
from tui.dialogs.short_form import Field, ShortForm, WrongField
from tui.services.shell import Shell
from tui.terminal.file_names import file_stem
from tui.training.encounter_work import EncounterWork
from tui.training.exam_room import ExamRoom
from tui.training.screens.course_screen import CourseScreen
from tui.training.screens.progress_screen import ProgressScreen
from tui.training.screens.score_screen import ScoreScreen
from tui.training.screens.sign_off_screen import Seen, SignOffScreen
from tui.training.screens.unit_screen import UnitScreen
from tui.training.screens.words_screen import WordsScreen
from tui.training.screens.worked_screen import WorkedScreen
from tui.training.words.course_rows import case_title, item_value, next_exam, next_words
from tui.training.words.course_sheet import CourseSheet

_LARGEST_DRAWN = 100_000
_ANY = "any"


class CourseWork:
    """Leads from the course of a trainee to cases and exams, and back.

    After each of them the course shows how the trainee now stands before the next key is handled.
    """

    def __init__(self, shell: Shell, desk: TrainingDesk, kept_note: str) -> None:
        """`kept_note` warns where nothing outlives the program."""
        self._shell, self._desk, self._kept_note = shell, desk, kept_note
        self._exam_room = ExamRoom(shell, desk, self._look_at)
        self._shown: CourseSheet | None = None
        self.coach = False

    async def attend(self, trainee: str) -> None:
        """Inside a flow: show the course of a trainee until it is left. Raises `BadInput`."""
        self._shown = await self._shell.work(lambda: self._read(trainee))
        await self._shell.ask(CourseScreen(self._shown, self, self._kept_note))

    @property
    def _sheet(self) -> CourseSheet:
        """What the course shows; there is one wherever a screen of the course is open."""
        assert self._shown is not None
        return self._shown

    @property
    def _trainee(self) -> str:
        return self._sheet.standing.trainee.name

    @cached_property
    def _exams(self) -> tuple[Exam, ...]:
        teaching = self._desk.teaching
        return tuple(load_exam(teaching, path) for path in exam_files(teaching.folders).values())

    @cached_property
    def _titles(self) -> Mapping[str, str]:
        return {key: cause.title for key, cause in self._desk.rules.causes.items()}

    def _read(self, trainee: str) -> CourseSheet:
        return self._sheet_of(self._desk.standing(trainee))

    def _sheet_of(self, standing: TraineeStanding) -> CourseSheet:
        return CourseSheet(standing, self._desk.teaching, self._exams, self._shell.shop.now)

    async def _refresh(self) -> None:
        """Inside a flow: show how the trainee stands now."""
        name = self._trainee
        self._shown = await self._shell.work(lambda: self._read(name))
        top = self._shell.top
        if isinstance(top, CourseScreen | UnitScreen):
            top.show_sheet(self._shown)

    # -- the course ------------------------------------------------------------------------------

    def open_row(self, value: str) -> None:
        """Open what a row of the course stands for."""
        self._shell.start(self._open_row(value))

    async def _open_row(self, value: str) -> None:
        sheet = self._sheet
        standing = sheet.standing
        kind, _, name = value.partition(":")
        if kind == "unit":
            state = next(state for state in standing.states if state.unit.id == name)
            await self._shell.ask(UnitScreen(sheet, state, self))
        elif kind == "exam":
            exam = next(exam for exam in sheet.exams if exam.name == name)
            await self._exam_room.enter(standing, exam)
        elif kind == "repeat":
            due = standing.due(sheet.now)
            await self._repeat(next(r.item for r in due if item_value(r.item) == value))
        else:
            await self._go_on(next(row for row in standing.rows if row.id == int(name)))
        await self._refresh()

    def begin_next(self) -> None:
        """Play what is due again, else the next lesson; after the last one the exam."""
        due = self._sheet.standing.due(self._sheet.now)
        if due:
            self._shell.start(self._repeat(due[0].item))
            return
        lesson, exam = self._sheet.standing.next_lesson, next_exam(self._sheet)
        if lesson is not None and self._sheet.standing.is_to_be_seen(lesson):
            self.open_row(f"unit:{lesson.unit}")  # its text comes before its first customer
        elif lesson is not None:
            self.begin_lesson(lesson)
        elif exam is not None:
            self.open_row(f"exam:{exam.name}")
        else:
            self._shell.say("Every unit is done. Open one to play a lesson of it again.")

    def show_progress(self) -> None:
        """Show scores, weak points and groups of causes."""
        write = partial(self._write_card, self._sheet.standing)
        self._shell.put(ProgressScreen(self._sheet, write))

    def _write_card(self, person: TraineeStanding) -> None:
        """Ask for a file and write a trainee's record to it as a card."""

        def card() -> Card:
            return training_card(facts_of(self._desk, person, self._shell.shop.today))

        title, name = "Write the training record to", file_stem(person.trainee.name)
        self._shell.start(ask_card_file(self._shell, title, f"training-{name}", card))

    def list_reviews(self) -> None:
        """List the cases done and show any with its score; those of an open exam stay hidden."""
        standing = self._sheet.standing
        hidden = standing.under_way
        done = [row for row in finished(standing.rows)[::-1] if row.sitting not in hidden]
        if done:
            self._shell.start(self._list_reviews(done))
        else:
            self._shell.say("No case has been done yet.")

    async def _list_reviews(self, done: Sequence[AttemptRow]) -> None:
        listed = []
        for row in done:
            assert row.result is not None
            word = "passed" if row.result.passed else "not passed"
            day = row.changed.astimezone().date().isoformat()
            about = f"{day}: {row.result.total:.0f}, {word}"
            listed.append(ListedRow(case_title(self._sheet, row), about))
        title = "Cases done, the latest first. Enter looks at one."
        while (at := await self._shell.ask(RowsScreen(title, listed))) is not None:
            await self._look_at(done[at].id)

    # -- cases -----------------------------------------------------------------------------------

    def begin_lesson(self, lesson: Lesson) -> None:
        """Play a lesson, from where it was left."""
        self._shell.start(self._begin_lesson(lesson))

    async def _begin_lesson(self, lesson: Lesson) -> None:
        await self._play_lesson(lesson)
        await self._refresh()

    async def _play_lesson(self, lesson: Lesson) -> None:
        if self._sheet.standing.is_to_be_seen(lesson):
            await self._show_example(lesson)
            return
        desk, name, coach = self._desk, self._trainee, self.coach
        await self._play(lambda: desk.begin_lesson(name, lesson, coach=coach), lesson.title)

    async def _show_example(self, lesson: Lesson) -> None:
        """A technician works the lesson's own customer; on record once it was gone through."""
        desk, name = self._desk, self._trainee
        worked = await self._shell.work(lambda: score_document(desk.worked_example(lesson)))
        if await self._shell.ask(WorkedScreen(worked, self._titles, lesson.title)):
            await self._shell.work(lambda: desk.note_example(name, lesson))

    def show_words(self, unit: CourseUnit) -> None:
        """Show the words of a unit, with their drawings."""
        self._shell.put(WordsScreen(unit, self._desk.rules))

    # -- the trainer -----------------------------------------------------------------------------

    def sign_off(self) -> None:
        """Show what a trainer has seen done at a real bike, to be signed."""
        if any(unit.at_the_bike for unit in self._desk.course.units):
            self._shell.start(self._sign_off())
        else:
            self._shell.say("This course has nothing to be shown at a real bike.")

    async def _sign_off(self) -> None:
        await self._shell.ask(SignOffScreen(self._sheet, self))
        await self._refresh()

    def sign(self, seen: Sequence[Seen]) -> None:
        """Ask who has seen these lines done, and put it on record."""
        self._shell.start(self._sign(seen))

    async def _sign(self, seen: Sequence[Seen]) -> None:
        screen, name = self._shell.top, self._trainee
        things = counted(len(seen), "thing")
        about = f"You saw {name} do {things} at a real bike. It cannot be undone."
        form = ShortForm("Sign off", (Field("by", "Your name, the trainer's"),), _read_by, about)
        by = await self._shell.ask(form)
        if by is None or not isinstance(screen, SignOffScreen):
            return
        await self._shell.work(lambda: self._desk.sign_off_lines(name, seen, by))
        await self._refresh()
        screen.show_sheet(self._sheet)

    async def _repeat(self, item: RepeatItem) -> None:
        """Play a case to repeat an item with."""
        desk, name, coach = self._desk, self._trainee, self.coach
        title = f"To repeat: {item_title(desk.guide, desk.course, item)}"
        await self._play(lambda: desk.begin_repeat(name, item, coach=coach), title)

    async def _go_on(self, row: AttemptRow) -> None:
        """Go on with a case that was left open."""
        desk, name, coach = self._desk, self._trainee, self.coach
        if row.lesson is not None:
            await self._play_lesson(desk.course.lesson(row.lesson))
            return

        def left() -> KeptEncounter:
            scenario = scenario_named(desk.rules, desk.guide, row.scenario, desk.course.worked)
            return desk.begin_case(name, scenario, coach=coach)

        await self._play(left, f"Case {row.id}")

    def practise(self) -> None:
        """Ask how hard, what about and which case; then begin it."""
        self._shell.start(self._practise())

    async def _practise(self) -> None:
        levels = [(_ANY, "Anything"), *((k, w.capitalize()) for k, w in LEVEL_WORDS.items())]
        level = await self._shell.ask(PickScreen("Practise: how hard?", numbered(levels)))
        if level is None:
            return
        themes = [(key, theme.title) for key, theme in self._desk.guide.themes.items()]
        choices = numbered([(_ANY, "Anything"), *themes])
        theme = await self._shell.ask(PickScreen("What about?", choices))
        if theme is None:
            return
        hint = "Any number is a case; the same number is the same case for everybody."
        drawn = str(secrets.randbelow(_LARGEST_DRAWN))
        number = await self._shell.ask(PromptScreen("Which case?", hint, drawn, _check_number))
        if number is not None:
            hard = None if level == _ANY else level_named(level)
            await self._play_drawn(int(number), hard, None if theme == _ANY else theme)
            await self._refresh()

    async def _play_drawn(self, seed: int, level: Level | None, theme: str | None) -> None:
        desk, name, coach = self._desk, self._trainee, self.coach

        def drawn() -> KeptEncounter:
            scenario = draw_scenario(desk.rules, desk.guide, seed, level, theme)
            return desk.begin_case(name, scenario, coach=coach)

        await self._play(drawn, f"Case {seed}")

    async def _play(self, begin: Callable[[], KeptEncounter], title: str) -> None:
        """Begin a case or go on with it; at its end show the score, else see that it is kept."""
        encounter = await self._shell.work(begin)
        coach = self.coach or encounter.attempt.begun.coach
        if encounter.attempt.begun.lesson is not None:  # other titles would give it away
            title = encounter.scenario.title
        if await EncounterWork(self._shell, encounter, title, coach=coach).play():
            name = self._trainee
            document, news = await self._shell.work(lambda: self._put_on_record(name, encounter))
            await self._show_score(document, news)
        else:
            await self._keep_before_leaving(encounter)

    def _put_on_record(
        self, name: str, encounter: KeptEncounter
    ) -> tuple[Mapping[str, Any], list[str]]:
        """The score of a case that has ended, and what it has led to."""
        news = []
        try:
            encounter.keep()
            opened = self._desk.after_case(name)
            news += [f"Open now: {unit.title}." for unit in opened]
            standing = self._desk.standing(name)
            due = len(standing.due(self._shell.shop.now))
            news += [f"{due} to repeat today."] if due else []
            news.append(next_words(self._sheet_of(standing)))
        except StoreProblem as problem:
            news.append(f"NOT KEPT: {problem}")
        return encounter.score_document(), news

    async def _keep_before_leaving(self, encounter: KeptEncounter) -> None:
        """Try to keep the latest steps until they are kept, or the trainee leaves without them."""
        choices = (("1", "again", "Try again"), ("2", "leave", "Leave without it"))
        choice: str | None = "again"
        while choice != "leave":
            try:
                await self._shell.work(encounter.keep)
                return
            except StoreProblem as problem:
                text = (str(problem), "The latest steps of this case are in memory alone.")
            choice = await self._shell.ask(PickScreen("Not everything is kept", choices, text))

    # -- scores ----------------------------------------------------------------------------------

    async def _look_at(self, number: int) -> None:
        """Inside a flow: show the score of a case from the records until it is left."""
        attempt = await self._shell.work(lambda: self._desk.attempts.read(number))
        if attempt.document is not None:
            await self._show_score(attempt.document, ())

    async def _show_score(self, document: Mapping[str, Any], news: Sequence[str]) -> None:
        await self._shell.ask(ScoreScreen(document, self._desk.guide, self._titles, news))


def _read_by(fields: Mapping[str, str]) -> str:
    if not fields["by"].strip():
        raise WrongField("by", "Nothing typed yet.")
    return fields["by"]


def _check_number(text: str) -> str:
    return "" if text.isdecimal() else "A whole number, 0 or more."
