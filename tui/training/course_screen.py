"""The course of one trainee: what was left open, what comes back, units and exams."""

from __future__ import annotations

import secrets
from collections.abc import Iterator
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.widgets import Footer, Static

from diagnose.training.course.progress import finished
from diagnose.training.customers.scenario import LEVEL_WORDS, level_named
from tui.dialogs.base import CardScreen
from tui.dialogs.pick import PickScreen, numbered
from tui.dialogs.prompt import PromptScreen
from tui.dialogs.rows import ListedRow, RowsScreen
from tui.training.exam_room import ExamRoom
from tui.training.progress_screen import ProgressScreen
from tui.training.unit_screen import UnitScreen
from tui.training.words.course_rows import about_lines, case_title, course_rows, item_value
from tui.training.words.course_sheet import CourseSheet
from tui.widgets.action_pad import ActionPad, Does
from tui.widgets.hanging_text import HangingText
from tui.widgets.search_list import SearchList

if TYPE_CHECKING:
    from tui.training.school import School

_LARGEST_DRAWN = 100_000
_ANY = "any"
_PAD = (
    Does("n", "Next", "next"),
    Does("p", "Practise", "practise"),
    Does("c", "No coach", "coach"),
    Does("g", "Progress", "progress"),
    Does("v", "Reviews", "reviews"),
)


class CourseScreen(CardScreen[None]):
    """Enter goes on with what is marked."""

    CSS_PATH = "course_screen.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "look", "Open", tooltip="Open what is marked", id="course.open"),
        Binding("n", "next", "Next", tooltip="The next lesson", id="course.next", show=False),
        Binding("p", "practise", "Practise", tooltip="A case by level, theme and number",
                id="course.practise", show=False),
        Binding("c", "coach", "Coach", tooltip="Coach on or off", id="course.coach", show=False),
        Binding("g", "progress", "Progress", tooltip="Scores, weak points, groups of causes",
                id="course.progress", show=False),
        Binding("v", "reviews", "Reviews", tooltip="Cases done, step by step",
                id="course.reviews", show=False),
    ]  # fmt: skip

    def __init__(self, school: School) -> None:
        super().__init__()
        self._school = school
        self._sheet: CourseSheet | None = None

    def compose(self) -> ComposeResult:
        """Who, the rows, what the one marked is about, buttons."""
        yield Static("", id="title", markup=False)
        yield Static(self._school.kept_note, id="kept", markup=False)
        with Horizontal(id="body"):
            yield SearchList("Press / and type to search", "Nothing like it.", id="course")
            with VerticalScroll(id="side", can_focus=False):
                yield HangingText(id="about")
        yield ActionPad(_PAD, columns=5)
        yield Footer(show_command_palette=False)

    def on_mount(self) -> None:
        """The rows take the keys."""
        self.query_one("#kept").display = bool(self._school.kept_note)
        self.query_one(SearchList).take_keys()

    def on_screen_resume(self) -> None:
        """A case may have been done meanwhile."""
        self._school.look(self._show)

    def show_case(self) -> None:
        """Targets may have become large."""
        if self._sheet is not None:
            self._show(self._sheet)

    def _show(self, sheet: CourseSheet) -> None:
        first = self._sheet is None
        self._sheet = sheet
        self._say_title()
        lesson = sheet.standing.next_lesson
        mark = f"unit:{lesson.unit}" if first and lesson is not None else None
        self.query_one(SearchList).show_rows(course_rows(sheet), mark)
        self._show_about(self.query_one(SearchList).marked)

    def _say_title(self) -> None:
        if self._sheet is None:
            return
        standing = self._sheet.standing
        done = sum(state.is_done for state in standing.states)
        lesson = standing.next_lesson
        after = f"Next: {lesson.title}." if lesson is not None else "Every unit is done."
        title = f"{standing.trainee.name}: {done} of {len(standing.states)} units done. {after}"
        self.query_one("#title", Static).update(title)
        self.query_one(ActionPad).relabel("c", "Coach on" if self._school.coach else "No coach")

    def on_search_list_marked(self, message: SearchList.Marked) -> None:
        """Say what it is about, where there is room."""
        self._show_about(message.value)

    def _show_about(self, value: str | None) -> None:
        if self._sheet is not None and value is not None:
            self.query_one("#about", HangingText).show(about_lines(self._sheet, value))

    # -- keys ------------------------------------------------------------------------------------

    def spoken_actions(self) -> Iterator[tuple[str, str]]:
        """Everything on the course."""
        for row in course_rows(self._sheet) if self._sheet is not None else ():
            if row.value:
                yield row.words, f"look_at({row.value!r})"

    def on_search_list_chosen(self, message: SearchList.Chosen) -> None:
        """Enter or a touch on a row."""
        self.action_look_at(message.value)

    def action_look(self) -> None:
        """Open the one marked."""
        marked = self.query_one(SearchList).marked
        if marked is not None:
            self.action_look_at(marked)

    def action_look_at(self, value: str) -> None:
        """Open a row."""
        sheet, school = self._sheet, self._school
        if sheet is None:
            return
        kind, _, name = value.partition(":")
        if kind == "unit":
            state = next(s for s in sheet.standing.states if s.unit.id == name)
            self.app.push_screen(UnitScreen(school, sheet, state))
        elif kind == "exam":
            exam = next(exam for exam in sheet.exams if exam.name == name)
            ExamRoom(school, exam).enter(sheet)
        elif kind == "repeat":
            due = sheet.standing.due(sheet.now)
            school.begin_repeat(next(r.item for r in due if item_value(r.item) == value))
        else:
            school.go_on(next(row for row in sheet.standing.rows if row.id == int(name)))

    def action_next(self) -> None:
        """Play the next lesson."""
        lesson = self._sheet.standing.next_lesson if self._sheet is not None else None
        if lesson is None:
            self.notify("Every unit is done. Open one to play a lesson of it again.")
        else:
            self._school.begin_lesson(lesson)

    def action_coach(self) -> None:
        """With coach, or without."""
        self._school.coach = not self._school.coach
        self._say_title()

    def action_progress(self) -> None:
        """Scores, weak points and groups of causes."""
        if self._sheet is not None:
            sheet, school = self._sheet, self._school
            write = partial(school.write_card, sheet.standing)
            self.app.push_screen(ProgressScreen(sheet, write))

    def action_reviews(self) -> None:
        """The cases done, latest first. Those of an exam that is open stay hidden."""
        sheet = self._sheet
        if sheet is None:
            return
        hidden = {s.sitting.number for s in sheet.standing.sat if s.sitting.ended is None}
        done = [row for row in finished(sheet.standing.rows)[::-1] if row.sitting not in hidden]
        if not done:
            self.notify("No case has been done yet.")
            return
        listed = []
        for row in done:
            assert row.result is not None
            word = "passed" if row.result.passed else "not passed"
            day = row.changed.astimezone().date().isoformat()
            about = f"{day}: {row.result.total:.0f}, {word}"
            listed.append(ListedRow(case_title(sheet, row), about))

        def picked(at: int | None) -> None:
            if at is not None:
                self._school.look_at(done[at].id, then=self.action_reviews)

        title = "Cases done, the latest first. Enter looks at one."
        self.app.push_screen(RowsScreen(title, listed), picked)

    # -- practice --------------------------------------------------------------------------------

    def action_practise(self) -> None:
        """Ask how hard, what about and which case; then begin it."""
        levels = [(_ANY, "Anything"), *((k, w.capitalize()) for k, w in LEVEL_WORDS.items())]
        screen = PickScreen("Practise: how hard?", numbered(levels))
        self.app.push_screen(screen, self._level_picked)

    def _level_picked(self, level: str | None) -> None:
        if level is None:
            return
        themes = self._school.guide.themes.items()
        choices = numbered([(_ANY, "Anything"), *((k, theme.title) for k, theme in themes)])

        def picked(theme: str | None) -> None:
            if theme is not None:
                self._ask_seed(level, theme)

        self.app.push_screen(PickScreen("What about?", choices), picked)

    def _ask_seed(self, level: str, theme: str) -> None:
        def check(text: str) -> str:
            return "" if text.isdecimal() else "A whole number, 0 or more."

        def typed(text: str | None) -> None:
            if text is not None:
                hard = None if level == _ANY else level_named(level)
                self._school.begin_drawn(int(text), hard, None if theme == _ANY else theme)

        hint = "Any number is a case; the same number is the same case for everybody."
        drawn = str(secrets.randbelow(_LARGEST_DRAWN))
        self.app.push_screen(PromptScreen("Which case?", hint, drawn, check), typed)

    def action_search(self) -> None:
        """Type to narrow the list."""
        self.query_one(SearchList).action_search()

    def action_leave(self) -> None:
        """First out of the search, then back."""
        if self.query_one(SearchList).is_searching:
            self.query_one(SearchList).stop_searching()
        else:
            self.dismiss(None)
