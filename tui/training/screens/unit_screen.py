"""A unit of the course: its short text, then its lessons."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar, Protocol

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import OptionList, Static

from diagnose.training.course.course import CourseUnit
from diagnose.training.course.course_lessons import Lesson
from diagnose.training.course.progress import UnitState
from tui.dialogs.base import CardScreen
from tui.training.words.course_rows import coach_label, unit_about
from tui.training.words.course_sheet import CourseSheet
from tui.widgets.hanging_text import HangingText
from tui.widgets.key_lines import KeyFooter
from tui.widgets.keyed import keyed
from tui.widgets.row_list import RowList
from tui.widgets.text_lines import scroll_page


class UnitActs(Protocol):
    """What may be done with a unit of the course."""

    coach: bool
    """Whether cases are begun with coach."""

    def begin_lesson(self, lesson: Lesson) -> None:
        """Play a lesson, from where it was left; see an example worked first."""

    def show_words(self, unit: CourseUnit) -> None:
        """Show the words of a unit, with their drawings."""


class UnitScreen(CardScreen[None]):
    """Enter plays the lesson marked; a locked unit can be read, not played."""

    CSS_PATH = "unit_screen.tcss"
    AUTO_FOCUS: ClassVar[str | None] = "#lessons"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "play", "Play", tooltip="Play the lesson marked", id="unit.play"),
        keyed("g", "play", "Play the lesson marked", "Begin", show=False, id="unit.begin"),
        keyed("w", "words", "What the words mean, with drawings", "Words", id="unit.words"),
        keyed("e", "coach", "Coach on or off", "Coach", id="unit.coach"),
        Binding("pagedown", "scroll(1)", "More text", show=False, id="unit.more"),
        Binding("pageup", "scroll(-1)", "Text above", show=False, id="unit.less"),
    ]  # fmt: skip

    def __init__(self, sheet: CourseSheet, state: UnitState, acts: UnitActs) -> None:
        super().__init__()
        self._sheet, self._state, self._acts = sheet, state, acts

    def compose(self) -> ComposeResult:
        """The title, the text, what the unit asks for, the lessons."""
        yield Static(self._state.unit.title, id="title", markup=False)
        with VerticalScroll(id="text", can_focus=False):
            yield HangingText(id="words")
        yield Static("", id="hint", markup=False)
        yield RowList(id="lessons")
        yield KeyFooter()

    def on_mount(self) -> None:
        """Show the text and the lessons."""
        unit, sources = self._state.unit, self._sheet.teaching.course.sources
        told = [f"Source: {sources[name]}" for name in unit.source]
        drawn = f", {len(unit.drawn)} with a drawing" if unit.drawn else ""
        words = [f"w shows the {len(unit.words)} words{drawn}."] if unit.words else []
        self.query_one("#words", HangingText).show([unit.text, *words, "", *told])
        self.show_sheet(self._sheet)

    def show_case(self) -> None:
        """Draw again: targets may have become large or small."""
        self.show_sheet(self._sheet)

    def show_sheet(self, sheet: CourseSheet) -> None:
        """Show the lessons as the trainee now stands."""
        unit = self._state.unit
        self._sheet = sheet
        state = self._state
        before, state = state, next(s for s in sheet.standing.states if s.unit.id == unit.id)
        self._state = state
        coach = f"e: {coach_label(on=self._acts.coach)}."
        plays = f"Enter plays a lesson. {coach}" if state.is_open else ""
        if state.is_open and state.example is not None:
            plays = "Enter shows the first customer, worked by a technician."
        elif state.is_done:
            plays = "This unit is done: Esc, then g goes on."
        hint = " ".join([*unit_about(sheet, state), plays]).strip()
        self.query_one("#hint", Static).update(hint)
        rows = self.query_one(RowList)
        marked = rows.highlighted
        rows.show_rows(self._rows())
        if marked is None or before != state:
            after = state.next_lesson
            marked = unit.lessons.index(after) if after is not None else marked or 0
        rows.highlighted = marked

    def _rows(self) -> Iterator[Content]:
        state = self._state
        open_now = {row.lesson for row in self._sheet.standing.rows if row.result is None}
        for number, lesson in enumerate(state.unit.lessons, 1):
            best = state.best[lesson.id]
            about = "not done yet" if best is None else f"best {best:.0f}"
            if lesson == state.example:
                about = "worked by a technician"
            elif lesson.id in state.worked and best is None:
                about = "seen; play another"
            if not state.is_open:
                about = "locked"
            elif lesson.id in open_now:
                about += ", left open"
            yield Content.assemble(f"{number:>2}  ", (f"{lesson.title:<40}", "bold"), f"  {about}")

    def spoken_actions(self) -> Iterator[tuple[str, str]]:
        """Play any lesson by its title."""
        for number, lesson in enumerate(self._state.unit.lessons):
            yield f"Play: {lesson.title}", f"play_at({number})"

    def on_option_list_option_selected(self, message: OptionList.OptionSelected) -> None:
        """Enter or a touch on a lesson."""
        self.action_play_at(message.option_index)

    def action_play(self) -> None:
        """Play the one marked."""
        self.action_play_at(self.query_one(RowList).highlighted or 0)

    def action_play_at(self, number: int) -> None:
        """Play the lesson at a position, where the unit is open."""
        if self._state.is_open:
            self._acts.begin_lesson(self._state.unit.lessons[number])
        else:
            self.notify(" ".join(unit_about(self._sheet, self._state)), markup=False)

    def action_words(self) -> None:
        """Show what the words mean."""
        self._acts.show_words(self._state.unit)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Words only where the unit has some."""
        return action != "words" or bool(self._state.unit.words)

    def action_coach(self) -> None:
        """Begin lessons with coach, or without."""
        self._acts.coach = not self._acts.coach
        self.show_sheet(self._sheet)

    def action_scroll(self, by: int) -> None:
        """Scroll the text by pages."""
        scroll_page(self.query_one("#text"), by)
