"""Training on the screens: who is learning, what they begin, and what comes after its end."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import cached_property
from typing import Any

from diagnose.cards.blocks import Card
from diagnose.records.store.file_writing import write_text
from diagnose.records.store.problems import StoreProblem
from diagnose.training.course.certificate import facts_of, training_card
from diagnose.training.course.course_lessons import Lesson
from diagnose.training.course.exam import Exam, exam_files, load_exam
from diagnose.training.course.repetition import Item
from diagnose.training.customers.guide import Guide
from diagnose.training.customers.scenario import Level, draw_scenario, scenario_named
from diagnose.training.records.attempts import AttemptRow
from diagnose.training.records.desk import TraineeStanding, TrainingDesk
from diagnose.training.records.export import export_csv
from diagnose.training.records.keeping import KeptEncounter
from tui.app.case_app import CaseApp
from tui.cases.card_files import ask_card_file
from tui.dialogs.pick import PickScreen
from tui.terminal.clock import day_of
from tui.terminal.file_names import file_stem
from tui.training.encounter_screen import EncounterScreen
from tui.training.plain.lesson_lines import item_title
from tui.training.score_screen import ScoreScreen
from tui.training.trainee_screen import TraineesScreen
from tui.training.words.course_sheet import CourseSheet

NOTHING_KEPT = "Nothing is kept: what is done here is gone when the program ends."


class School:
    """A desk at work on the screens. Whatever touches the store runs in a worker."""

    def __init__(self, app: CaseApp, desk: TrainingDesk) -> None:
        self.app, self.desk = app, desk
        self.trainee = ""
        self.coach = False

    @property
    def guide(self) -> Guide:
        """What counts, and what hints cost."""
        return self.desk.guide

    @cached_property
    def titles(self) -> Mapping[str, str]:
        """What causes are called."""
        return {key: cause.title for key, cause in self.desk.rules.causes.items()}

    @cached_property
    def _exams(self) -> tuple[Exam, ...]:
        teaching = self.desk.teaching
        return tuple(load_exam(teaching, path) for path in exam_files(teaching.folders).values())

    @property
    def kept_note(self) -> str:
        """A word where nothing outlives the program."""
        return "" if self.app.keeps else NOTHING_KEPT

    def open(self) -> None:
        """Ask who is learning."""
        self.app.push_screen(TraineesScreen(self))

    def look(self, then: Callable[[CourseSheet], None]) -> None:
        """Hand `then` how the trainee stands now."""
        self.app.in_background(self.sheet, then)

    def sheet(self) -> CourseSheet:
        """How the trainee stands now. Raises `BadInput`."""
        standing = self.desk.standing(self.trainee)
        now = self.desk.attempts.store.now()
        return CourseSheet(standing, self.desk.teaching, self._exams, now)

    def write_card(self, person: TraineeStanding) -> None:
        """Ask for a file and write a trainee's record to it as a card."""

        def card() -> Card:
            return training_card(facts_of(self.desk, person, day_of(self.app.kept.now())))

        stem = f"training-{file_stem(person.trainee.name)}"
        ask_card_file(self.app, "Write the training record to", stem, card)

    def write_table(self, people: Sequence[TraineeStanding]) -> None:
        """Ask for a file and write every case of these people to it, as CSV."""
        self.app.ask_file(
            "Write every case of everybody to",
            "training.csv",
            lambda path: write_text(path, export_csv(people, self.desk.pack)),
            hint="CSV, a row for each case.",
        )

    # -- cases -----------------------------------------------------------------------------------

    def begin_lesson(self, lesson: Lesson) -> None:
        """A lesson, gone on with where it was left."""
        name, coach = self.trainee, self.coach
        self._begin(lambda: self.desk.begin_lesson(name, lesson, coach=coach), lesson.title)

    def begin_drawn(self, seed: int, level: Level | None, theme: str | None) -> None:
        """A drawn case."""
        name, coach, desk = self.trainee, self.coach, self.desk

        def drawn() -> KeptEncounter:
            scenario = draw_scenario(desk.rules, desk.guide, seed, level, theme)
            return desk.begin_case(name, scenario, coach=coach)

        self._begin(drawn, f"Case {seed}")

    def begin_repeat(self, item: Item) -> None:
        """A case to repeat an item with."""
        name, coach = self.trainee, self.coach
        title = f"To repeat: {item_title(self.desk.guide, self.desk.course, item)}"
        self._begin(lambda: self.desk.begin_repeat(name, item, coach=coach), title)

    def go_on(self, row: AttemptRow) -> None:
        """A case that was left open. Those of exams and of a trainer's file go on elsewhere."""
        name, coach, desk = self.trainee, self.coach, self.desk
        if row.lesson is not None:
            self.begin_lesson(desk.course.lesson(row.lesson))
            return

        def left() -> KeptEncounter:
            scenario = scenario_named(desk.rules, desk.guide, row.scenario, desk.course.worked)
            return desk.begin_case(name, scenario, coach=coach)

        self._begin(left, f"Case {row.id}")

    def _begin(self, begin: Callable[[], KeptEncounter], title: str) -> None:
        def begun(encounter: KeptEncounter) -> None:
            coach = self.coach or encounter.attempt.begun.coach
            screen = EncounterScreen(encounter, title, coach=coach)
            self.app.push_screen(screen, lambda ended: self._left(encounter, bool(ended)))

        self.app.in_background(begin, begun)

    def _left(self, encounter: KeptEncounter, ended: bool) -> None:
        if ended:
            self.app.in_background(lambda: self.put_on_record(encounter), self._summed_up)
        else:
            self._keep_before_leaving(encounter)

    def _keep_before_leaving(self, encounter: KeptEncounter) -> None:
        def tried() -> str:
            try:
                encounter.keep()
            except StoreProblem as problem:
                return str(problem)
            return ""

        def told(problem: str) -> None:
            if problem:
                choices = (("1", "again", "Try again"), ("2", "leave", "Leave without it"))
                text = (problem, "The latest steps of this case are in memory alone.")
                self.app.push_screen(PickScreen("Not everything is kept", choices, text), chosen)

        def chosen(choice: str | None) -> None:
            if choice != "leave":
                self._keep_before_leaving(encounter)

        self.app.in_background(tried, told)

    def put_on_record(self, encounter: KeptEncounter) -> tuple[Mapping[str, Any], list[str]]:
        """The score of a case that has ended, and what it has led to."""
        news = []
        try:
            encounter.keep()
            opened = self.desk.after_case(self.trainee)
            news += [f"Open now: {unit.title}." for unit in opened]
            standing = self.desk.standing(self.trainee)
            due = len(standing.due(self.desk.attempts.store.now()))
            news += [f"{due} to repeat today."] if due else []
            lesson = standing.next_lesson
            news.append(f"Next lesson: {lesson.title}." if lesson else "Every unit is done.")
        except StoreProblem as problem:
            news.append(f"NOT KEPT: {problem}")
        return encounter.score_document(), news

    def _summed_up(self, found: tuple[Mapping[str, Any], list[str]]) -> None:
        document, news = found
        self.show_score(document, news)

    def show_score(
        self,
        document: Mapping[str, Any],
        news: list[str] | None = None,
        then: Callable[[], None] = lambda: None,
    ) -> None:
        """Show the score of a finished case; its review is a key away."""
        screen = ScoreScreen(document, self.guide, self.titles, news or [])
        self.app.push_screen(screen, lambda _: then())

    def look_at(self, number: int, then: Callable[[], None] = lambda: None) -> None:
        """Show the score of a case from the records."""

        def found(document: Mapping[str, Any] | None) -> None:
            if document is not None:
                self.show_score(document, then=then)

        self.app.in_background(lambda: self.desk.attempts.read(number).document, found)
