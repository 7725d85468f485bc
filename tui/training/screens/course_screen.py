"""The course of one trainee: what was left open, what comes back, units and exams."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar, Protocol

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.widgets import Static

from diagnose.training.words.course_words import item_title
from tui.dialogs.search_screen import SearchScreen
from tui.training.words.course_rows import (
    about_lines,
    coach_label,
    course_rows,
    next_value,
    next_words,
)
from tui.training.words.course_sheet import CourseSheet
from tui.widgets.action_pad import ActionPad, Does
from tui.widgets.hanging_text import HangingText
from tui.widgets.key_footer import KeyFooter
from tui.widgets.keyed import keyed
from tui.widgets.search_list import SearchList

_PAD = (
    Does("g", "Next", "next"),
    Does("a", "Practise", "practise"),
    Does("e", coach_label(on=False), "coach"),
    Does("k", "Progress", "progress"),
    Does("c", "Reviews", "reviews"),
    Does("f", "Sign off", "sign_off"),
)


class CourseActs(Protocol):
    """What may be done on the course of a trainee."""

    coach: bool
    """Whether cases are begun with coach."""

    def open_row(self, value: str) -> None:
        """Open what a row of the course stands for."""

    def begin_next(self) -> None:
        """Play the next lesson."""

    def practise(self) -> None:
        """Ask how hard, what about and which case; then begin it."""

    def show_progress(self) -> None:
        """Show scores, weak points and groups of causes."""

    def list_reviews(self) -> None:
        """List the cases done; one that is picked is shown with its score."""

    def sign_off(self) -> None:
        """Show what a trainer has seen done at a real bike, to be signed."""


class CourseScreen(SearchScreen[None]):
    """Enter goes on with what is marked. `kept_note` warns where nothing outlives the program."""

    CSS_PATH = "course_screen.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "look", "Open", tooltip="Open what is marked", id="course.open"),
        keyed("g", "next", "The next lesson", "Next", id="course.next", show=False),
        keyed("a", "practise", "A case by level, theme and number", "Practise",
              id="course.practise", show=False),
        keyed("e", "coach", "Coach on or off", "Coach", id="course.coach", show=False),
        keyed("k", "progress", "Scores, weak points, groups of causes", "Progress",
              id="course.progress", show=False),
        keyed("c", "reviews", "Cases done, step by step", "Reviews", id="course.reviews",
              show=False),
        keyed("f", "sign_off", "For the trainer: what was shown at a bike", "Sign off",
              id="course.sign-off", show=False),
    ]  # fmt: skip

    def __init__(self, sheet: CourseSheet, acts: CourseActs, kept_note: str) -> None:
        super().__init__()
        self._sheet, self._acts, self._kept_note = sheet, acts, kept_note

    def compose(self) -> ComposeResult:
        """Who, the rows, what the one marked is about, buttons."""
        yield Static("", id="title", markup=False)
        yield Static(self._kept_note, id="kept", markup=False)
        with Horizontal(id="body"):
            yield SearchList("Press / and type to search", "Nothing like it.", id="course")
            with VerticalScroll(id="side", can_focus=False):
                yield HangingText(id="about")
        yield ActionPad(_PAD, columns=3)
        yield KeyFooter()

    def on_mount(self) -> None:
        """Give the keys to the rows and mark the unit of the next lesson."""
        self.query_one("#kept").display = bool(self._kept_note)
        self.query_one(SearchList).take_keys()
        self._show(next_value(self._sheet))

    def show_case(self) -> None:
        """Draw again: targets may have become large or small."""
        self._show(None)

    def show_sheet(self, sheet: CourseSheet) -> None:
        """Show how the trainee now stands, with the bar on what comes next."""
        self._sheet = sheet
        self._show(next_value(sheet))

    def _show(self, mark: str | None) -> None:
        self._say_title()
        self.query_one(SearchList).show_rows(course_rows(self._sheet), mark)
        self._show_about(self.query_one(SearchList).marked)

    def _say_title(self) -> None:
        standing = self._sheet.standing
        done = sum(state.is_done for state in standing.states)
        after = next_words(self._sheet)
        due = standing.due(self._sheet.now)
        if due:
            teaching = self._sheet.teaching
            after = f"Next: {item_title(teaching.guide, teaching.course, due[0].item)}, due again."
        title = f"{standing.trainee.name}: {done} of {len(standing.states)} units done. {after}"
        self.query_one("#title", Static).update(title)
        self.query_one(ActionPad).relabel("e", coach_label(on=self._acts.coach))

    def on_search_list_marked(self, message: SearchList.Marked) -> None:
        """Show what the row marked is about, where there is room."""
        self._show_about(message.value)

    def _show_about(self, value: str | None) -> None:
        if value is not None:
            self.query_one("#about", HangingText).show(about_lines(self._sheet, value))

    # -- keys ------------------------------------------------------------------------------------

    def spoken_actions(self) -> Iterator[tuple[str, str]]:
        """Open any row of the course by its title."""
        for row in course_rows(self._sheet):
            if row.value:
                yield row.words, f"look_at({row.value!r})"

    def action_look_at(self, value: str) -> None:
        """Open a unit or an exam, repeat an item, or go on with a case."""
        self._acts.open_row(value)

    def action_next(self) -> None:
        """Play the next lesson."""
        self._acts.begin_next()

    def action_coach(self) -> None:
        """Begin cases with coach, or without."""
        self._acts.coach = not self._acts.coach
        self._say_title()

    def action_progress(self) -> None:
        """Scores, weak points and groups of causes."""
        self._acts.show_progress()

    def action_reviews(self) -> None:
        """The cases done, latest first."""
        self._acts.list_reviews()

    def action_sign_off(self) -> None:
        """What a trainer has seen done at a real bike."""
        self._acts.sign_off()

    def action_practise(self) -> None:
        """A case by level, theme and number."""
        self._acts.practise()
