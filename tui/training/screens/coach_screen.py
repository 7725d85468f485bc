"""Before a step, with coach: what is likeliest wrong?"""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.widgets import Static

from diagnose.training.play.coach import MOST_NAMED
from diagnose.training.play.encounter import Encounter
from diagnose.training.play.moves import Move
from diagnose.training.scoring.review import move_text
from tui.dialogs.search_screen import SearchScreen
from tui.training.words.move_rows import cause_rows
from tui.widgets.action_pad import ActionPad, Does
from tui.widgets.key_footer import KeyFooter
from tui.widgets.keyed import keyed
from tui.widgets.search_list import SearchList, SearchRow

_PAD = (Does("g", "Go on", "go_on"), Does("z", "Clear", "clear"))


class CoachScreen(SearchScreen[tuple[str, ...] | None]):
    """Returns the causes named, likeliest first; none to go on without, None to leave the step."""

    CSS_PATH = "coach_screen.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "look", "Name it", tooltip="Name the cause marked", id="coach.name"),
        keyed("g", "go_on", "Go on with the step", id="coach.go"),
        keyed("z", "clear", "Name none of them", "Clear", id="coach.clear"),
    ]

    def __init__(self, encounter: Encounter, move: Move, named: tuple[str, ...]) -> None:
        super().__init__()
        self._rules = encounter.assessor.rules
        self._step = move_text(self._rules, move)
        self._is_corrected = bool(encounter.view().now.corrections)
        self._rows = cause_rows(encounter)
        self._named = [cause for cause in named if cause in {row.value for row in self._rows}]

    def compose(self) -> ComposeResult:
        """The step to come, what was named, causes to name."""
        yield Static(f"Before: {self._step}", id="step", markup=False)
        what = "What else could be wrong" if self._is_corrected else "What is likeliest wrong"
        ask = f"{what}? Enter names up to {MOST_NAMED}, g goes on."
        yield Static(ask, id="question", markup=False)
        yield Static("", id="named", markup=False)
        yield SearchList("Press / and type a part of it", "No cause like it.", id="causes")
        yield ActionPad(_PAD, columns=2)
        yield KeyFooter()

    def on_mount(self) -> None:
        """Show the causes, those named last time first."""
        self.query_one(SearchList).take_keys()
        self._show()

    def show_case(self) -> None:
        """Draw again: targets may have become large or small."""
        self._show()

    def _show(self) -> None:
        titles = [self._rules.causes[cause].title for cause in self._named]
        named = "; ".join(f"{n} {title}" for n, title in enumerate(titles, 1))
        self.query_one("#named", Static).update(f"Named: {named or 'none yet'}")
        self.query_one(SearchList).show_rows([self._row(row) for row in self._rows])

    def _row(self, row: SearchRow) -> SearchRow:
        at = self._named.index(row.value) + 1 if row.value in self._named else " "
        return SearchRow(row.value, f"{at} {self._rules.causes[row.value].title}", row.words)

    def spoken_actions(self) -> Iterator[tuple[str, str]]:
        """Name any cause by its title."""
        for row in self._rows:
            yield f"Name: {self._rules.causes[row.value].title}", f"look_at({row.value!r})"

    def action_look_at(self, value: str) -> None:
        """Name a cause, or take it back where it is named."""
        if value in self._named:
            self._named.remove(value)
        elif len(self._named) < MOST_NAMED:
            self._named.append(value)
        else:
            self.notify(f"{MOST_NAMED} at most; Enter on one takes it back.")
        self._show()

    def action_clear(self) -> None:
        """Take every cause named back."""
        self._named = []
        self._show()

    def action_go_on(self) -> None:
        """Return the causes named."""
        self.dismiss(tuple(self._named))
