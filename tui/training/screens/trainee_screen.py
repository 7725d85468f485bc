"""Who is learning: pick a trainee, or add one."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import ClassVar, Protocol

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.widgets import Static

from diagnose.training.desk import TraineeStanding
from tui.dialogs.search_screen import SearchScreen
from tui.widgets.action_pad import ActionPad, Does
from tui.widgets.key_footer import KeyFooter
from tui.widgets.keyed import keyed
from tui.widgets.search_list import SearchList, SearchRow

_NAME = 24
_HEAD = f"{'name':<{_NAME}}  {'units':>8}  {'cases':>5}  {'mean':>4}  {'due':>3}  ready"
_PAD = (
    Does("Enter", "Go", "look"),
    Does("a", "Add me", "add"),
    Does("k", "Compare", "compare"),
)


@dataclass(frozen=True, slots=True)
class Roll:
    """How everybody who learns stands `now`."""

    people: Sequence[TraineeStanding]
    now: datetime


class TraineeActs(Protocol):
    """What may be done with the trainees of the store."""

    def learn_as(self, name: str) -> None:
        """Open the course of a trainee."""

    def add(self) -> None:
        """Ask for a name, add it, and open its course."""

    def compare(self, people: Sequence[TraineeStanding]) -> None:
        """Show these people side by side."""

    def write_table(self, people: Sequence[TraineeStanding]) -> None:
        """Ask for a file and write every case of these people to it, as CSV."""


class TraineesScreen(SearchScreen[None]):
    """The trainees of the store, with how each stands.

    `kept_note` warns where nothing outlives the program.
    """

    CSS_PATH = "trainee_screen.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "look", "Go", tooltip="Go on as the name marked", id="trainees.go"),
        keyed("a", "add", "Add a trainee", "Add me", id="trainees.add"),
        keyed("k", "compare", "Progress of all, side by side", "Progress", id="trainees.compare"),
        keyed("o", "write", "Write every case as CSV", "Write", id="trainees.write"),
    ]

    def __init__(self, roll: Roll, acts: TraineeActs, kept_note: str) -> None:
        super().__init__()
        self._roll, self._acts, self._kept_note = roll, acts, kept_note

    def compose(self) -> ComposeResult:
        """The title, a note where nothing is kept, the names, the buttons."""
        yield Static("Who is learning?", id="title", markup=False)
        yield Static(self._kept_note, id="kept", markup=False)
        empty = "Nobody yet. a adds you."
        yield SearchList("Press / and type a name", empty, _HEAD, id="people")
        yield ActionPad(_PAD, columns=3)
        yield KeyFooter()

    def on_mount(self) -> None:
        """Give the keys to the names."""
        self.query_one("#kept").display = bool(self._kept_note)
        self.query_one(SearchList).take_keys()
        self._show(None)

    def show_case(self) -> None:
        """Draw again: targets may have become large or small."""
        self._show(None)

    def show_roll(self, roll: Roll, mark: str) -> None:
        """Show how everybody stands now, with the mark on one of them."""
        self._roll = roll
        self._show(mark)

    def _show(self, mark: str | None) -> None:
        rows, now = [], self._roll.now
        for person in self._roll.people:
            score = person.progress.score
            done = sum(state.is_done for state in person.states)
            look = Content.assemble(
                (f"{person.trainee.name[:_NAME]:<{_NAME}}", "bold"),
                f"  {f'{done} of {len(person.states)}':>8}  {score.cases:>5}",
                f"  {f'{score.mean:.0f}' if score.cases else '-':>4}",
                f"  {len(person.due(now)):>3}  {'yes' if person.ready.is_ready else 'no'}",
            )
            rows.append(SearchRow(person.trainee.name, look, person.trainee.name))
        self.query_one(SearchList).show_rows(rows, mark)

    def spoken_actions(self) -> Iterator[tuple[str, str]]:
        """Open the course of any trainee by name."""
        for person in self._roll.people:
            yield f"Learn as {person.trainee.name}", f"look_at({person.trainee.name!r})"

    def action_look(self) -> None:
        """Open the course of the trainee marked; where there is none, add one."""
        if self.marked is not None:
            self.action_look_at(self.marked)
        else:
            self.action_add()

    def action_look_at(self, value: str) -> None:
        """Open the course of a trainee, by name."""
        self._acts.learn_as(value)

    def action_add(self) -> None:
        """Ask for a name and add it."""
        self._acts.add()

    def action_compare(self) -> None:
        """Show all trainees side by side."""
        if self._roll.people:
            self._acts.compare(self._roll.people)
        else:
            self.notify("Nobody is learning yet.")

    def action_write(self) -> None:
        """Write every case of everybody as CSV."""
        if self._roll.people:
            self._acts.write_table(self._roll.people)
        else:
            self.notify("Nobody is learning yet.")
