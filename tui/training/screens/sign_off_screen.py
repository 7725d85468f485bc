"""What a trainer has seen a trainee do at a real bike: ticked here, signed with a name."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime
from typing import ClassVar, Protocol

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.widgets import Static

from diagnose.training.course.progress import UnitState
from diagnose.training.records.trainee_entries import SignedOff
from tui.dialogs.search_screen import SearchScreen
from tui.terminal.text import broken
from tui.training.words.course_sheet import CourseSheet
from tui.widgets.action_pad import ActionPad, Does
from tui.widgets.key_footer import KeyFooter
from tui.widgets.keyed import keyed
from tui.widgets.search_list import SearchList, SearchRow

_PAD = (
    Does("Enter", "Seen", "look"),
    Does("f", "Sign 0 ticked", "sign"),
    Does("Esc", "Back", "leave"),
)

Seen = tuple[str, int]
"""A line of the sign-off: the unit's id, and its number there from 1."""


class SignOffActs(Protocol):
    """What may be done with a sign-off."""

    def sign(self, seen: Sequence[Seen]) -> None:
        """Ask who has seen these lines done, and put it on record."""


class SignOffScreen(SearchScreen[None]):
    """Enter ticks the line marked, or takes the tick back; `s` signs what is ticked."""

    CSS_PATH = "sign_off_screen.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "look", "Seen", tooltip="Tick the line marked", id="sign-off.tick"),
        keyed("f", "sign", "Sign what is ticked", "Sign off", id="sign-off.sign"),
    ]

    def __init__(self, sheet: CourseSheet, acts: SignOffActs) -> None:
        super().__init__()
        self._sheet, self._acts = sheet, acts
        self._ticked: dict[str, None] = {}

    def compose(self) -> ComposeResult:
        """What it is, the lines by unit, the one marked in full, buttons."""
        yield Static("", id="title", markup=False)
        yield SearchList("Press / and type to search", "Nothing like it.", id="lines")
        yield Static("", id="line", markup=False)
        yield ActionPad(_PAD, columns=3)
        yield KeyFooter()

    def on_mount(self) -> None:
        """Show the lines and mark the first that is not signed off."""
        self.query_one(SearchList).take_keys()
        signed = self._signed()
        open_lines = (value for value, _, _ in self._lines() if value not in signed)
        self._show(next(open_lines, None))

    def show_case(self) -> None:
        """Draw again: targets may have become large or small."""
        self._show(self.marked)

    def on_resize(self) -> None:
        """Fit the lines to another width."""
        self.call_after_refresh(self.show_case)

    def show_sheet(self, sheet: CourseSheet) -> None:
        """Show how the trainee now stands, with nothing ticked."""
        self._sheet = sheet
        self._ticked.clear()
        self._show(self.marked)

    def _lines(self) -> Iterator[tuple[str, UnitState, str]]:
        for state in self._sheet.standing.states:
            for number, line in enumerate(state.unit.at_the_bike, 1):
                yield f"{state.unit.id}:{number}", state, line

    def _signed(self) -> dict[str, tuple[SignedOff, datetime]]:
        """Who has signed a line off and when, the first time, by the line's value."""
        standing = self._sheet.standing
        found: dict[str, tuple[SignedOff, datetime]] = {}
        by_text = {(state.unit.id, line): value for value, state, line in self._lines()}
        for entry, at in standing.trainee.signed_off(standing.pack):
            for line in entry.shown:
                if (entry.unit, line) in by_text:
                    found.setdefault(by_text[entry.unit, line], (entry, at))
        return found

    def _show(self, mark: str | None) -> None:
        signed, lines = self._signed(), list(self._lines())
        name = self._sheet.standing.trainee.name
        done = f"{len(signed)} of {len(lines)} signed off"
        title = f"{name} at a real bike: {done}. For whoever trains them, beside the bike."
        self.query_one("#title", Static).update(title)
        rows: list[SearchRow] = []
        for number, state in enumerate(self._sheet.standing.states, 1):
            own = [(value, line) for value, at, line in lines if at is state]
            if own:
                rows.append(SearchRow("", f"{number:>2}  {state.unit.title}"))
            for value, line in own:
                sign = "signed" if value in signed else "[x]" if value in self._ticked else "[ ]"
                told = f"\n{'':<9}".join(broken(line, max(20, self.size.width - 13)))
                look = Content(f"  {sign:<6} {told}")
                rows.append(SearchRow(value, look, f"{state.unit.title} {line}"))
        self.query_one(SearchList).show_rows(rows, mark)
        self.query_one(ActionPad).relabel("s", f"Sign {len(self._ticked)} ticked")
        self._tell(self.marked)

    def _tell(self, value: str | None) -> None:
        if value is None:
            return
        line = next(line for key, _, line in self._lines() if key == value)
        said = "Not ticked." if value not in self._ticked else "Ticked, not signed yet."
        if value in self._signed():
            entry, at = self._signed()[value]
            said = f"Signed off by {entry.by} on {at.astimezone():%d %b %Y}."
        self.query_one("#line", Static).update(f"{line}\n{said}")

    def on_search_list_marked(self, message: SearchList.Marked) -> None:
        """Show the line marked in full, with who signed it."""
        self._tell(message.value)

    def spoken_actions(self) -> Iterator[tuple[str, str]]:
        """Tick any line by its text."""
        for value, _, line in self._lines():
            yield f"Seen: {line}", f"look_at({value!r})"

    def action_look_at(self, value: str) -> None:
        """Tick a line, or take the tick back; what is signed stays."""
        if value in self._signed():
            self.notify("It is signed off already.")
        elif value in self._ticked:
            del self._ticked[value]
        else:
            self._ticked[value] = None
        self._show(value)

    def action_sign(self) -> None:
        """Ask for the trainer's name and sign what is ticked."""
        if not self._ticked:
            self.notify("Nothing is ticked. Enter ticks what you have seen done.")
            return
        seen = []
        for value in self._ticked:
            unit, _, number = value.rpartition(":")
            seen.append((unit, int(number)))
        self._acts.sign(seen)
