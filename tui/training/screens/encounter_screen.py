"""A training case: the customer, the bike, and every move that the trainee can make."""

from __future__ import annotations

from typing import ClassVar, Protocol

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.widgets import Static

from diagnose.training.play.encounter import Encounter
from diagnose.training.play.moves import HandBack, HandOver, Move, RideMove
from diagnose.training.words.encounter_words import (
    about_move,
    bike_words,
    came_line,
    notebook_lines,
    said_line,
    spent_line,
    told_line,
)
from tui.dialogs.read_screen import ReadScreen
from tui.dialogs.search_screen import SearchScreen
from tui.training.words.move_rows import SORTS, move_of_row, move_rows, next_open
from tui.widgets.action_pad import ActionPad, Does
from tui.widgets.hanging_text import HangingText
from tui.widgets.key_lines import KeyFooter
from tui.widgets.keyed import keyed
from tui.widgets.row_list import RowList
from tui.widgets.search_list import SearchList
from tui.widgets.text_lines import put_line
from tui.widgets.word_box import CardInput

_SORTS = tuple(Does(s.key, s.word, f"sort({name!r})") for name, s in SORTS.items())


class EncounterActs(Protocol):
    """What may be done in a training case."""

    def begin(self, move: Move) -> None:
        """Make a move, after what stands before it."""

    def offer_hint(self) -> None:
        """Say what the next hint gives away and costs; give it where it is wanted."""

    def leave(self) -> None:
        """Leave the case open, asking first where that costs something."""


class EncounterScreen(SearchScreen[bool | None]):
    """Returns True when the case has ended; leaving it before leaves it open.

    `coach` says whether the case is played with coach.
    """

    CSS_PATH = "encounter_screen.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("slash", "search", "Search", tooltip="Type words or a number",
                id="encounter.search", key_display="/"),
        keyed("g", "ride", "Send it for a ride", "Ride", id="encounter.ride"),
        keyed("x", "hand_over", "Hand it over undiagnosed; the case ends", "Hand over",
              id="encounter.over"),
        keyed("f", "hand_back", "Give the bike back as finished", "Give back",
              id="encounter.back"),
        keyed("k", "notes", "All that is known", "Notebook", id="encounter.notes"),
        keyed("?", "hint", "A hint; it costs points", "Hint", id="encounter.hint"),
        Binding("escape", "leave", "Back", tooltip="Leave; the case stays open", show=False,
                id="leave"),
        *(
            Binding(s.key, f"sort({name!r})", s.word, tooltip=f"Only: {s.heading}", show=False,
                    id=f"encounter.{name}")
            for name, s in SORTS.items()
        ),
        *(Binding(str(n), f"number({n})", "By number", show=False) for n in range(10)),
    ]  # fmt: skip

    def __init__(
        self, encounter: Encounter, title: str, acts: EncounterActs, *, coach: bool
    ) -> None:
        super().__init__()
        self.encounter, self._title = encounter, title
        self._acts, self._coach = acts, coach
        self._only, self._every = "", False

    def compose(self) -> ComposeResult:
        """Who has come, what came last, what can be done, the notebook where there is room."""
        with Vertical(id="head"):
            yield Static("", id="case", markup=False)
            yield Static(said_line(self.encounter), id="words", markup=False)
            yield Static(bike_words(self.encounter), id="bike", markup=False)
            yield Static(told_line(self.encounter), id="told", markup=False)
        yield Static("", id="last", markup=False)
        yield Static("", id="problem", markup=False)
        yield ActionPad(_SORTS, columns=len(_SORTS), id="sorts")
        with Horizontal(id="body"):
            ask = "Press / and type words, or a number"
            yield SearchList(ask, "Nothing like it.", id="moves", ranked=True)
            with VerticalScroll(id="side", can_focus=False):
                yield HangingText(id="notebook")
        yield Static("", id="marked", markup=False)
        yield KeyFooter()

    def on_mount(self) -> None:
        """Show the case as it was left."""
        self.query_one("#told").display = bool(told_line(self.encounter))
        self.query_one(SearchList).take_keys()
        steps = self.encounter.steps
        rules = self.encounter.assessor.rules
        self.show_step(f"Where you left it: {came_line(rules, steps[-1])}" if steps else "")

    def show_case(self) -> None:
        """Draw again: targets may have become large or small."""
        self._show_moves()

    def show_step(self, last: str, problem: str = "") -> None:
        """Show what came of the last step, and what can be done now."""
        parts = [self._title, spent_line(self.encounter)]
        parts += ["with coach"] if self._coach else []
        self.query_one("#case", Static).update("; ".join(parts))
        self._say("last", last or "What do you do first?")
        self._say("problem", f"NOT KEPT YET: {problem}" if problem else "")
        self.query_one("#notebook", HangingText).show(notebook_lines(self.encounter))
        self._show_moves()
        rows = self.query_one(SearchList)
        rows.stop_searching()
        rows.mark(next_open(self.encounter, rows.values, rows.marked))
        # the answer above may have taken lines from the list
        self.call_after_refresh(self.query_one(RowList).scroll_to_highlight)

    def say_last(self, text: str) -> None:
        """Show a hint or the like in place of the last answer."""
        self._say("last", text)

    def _say(self, part: str, text: str) -> None:
        put_line(self.query_one(f"#{part}", Static), text)

    def _show_moves(self) -> None:
        self.query_one(SearchList).show_rows(
            move_rows(self.encounter, self._only, every=self._every)
        )

    # -- choosing --------------------------------------------------------------------------------

    def action_look_at(self, value: str) -> None:
        """Make the move of a row."""
        self._acts.begin(move_of_row(value))

    def on_search_list_marked(self, message: SearchList.Marked) -> None:
        """Show in full what is marked, and what it takes."""
        about = about_move(self.encounter, move_of_row(message.value))
        self.query_one("#marked", Static).update(about)

    def action_sort(self, name: str) -> None:
        """Ten moves of one sort, then all of it, then some of every sort again."""
        is_again = self._only == name
        is_over = is_again and self._every
        self._only, self._every = ("", False) if is_over else (name, is_again)
        for key, sort in SORTS.items():
            mark = "*" if key == self._only else ""
            self.query_one(ActionPad).relabel(sort.key, f"{sort.word}{mark}")
        self._show_moves()
        self.query_one(SearchList).take_keys()

    def action_number(self, figure: int) -> None:
        """Begin to type the number of a move, of any sort."""
        self._show_every_sort()
        self.action_search()
        box = self.query_one(CardInput)
        box.value = str(figure)
        box.cursor_position = 1

    def action_ride(self) -> None:
        """Send it for a ride."""
        self._acts.begin(RideMove())

    def action_hand_back(self) -> None:
        """Give the bike back as finished."""
        self._acts.begin(HandBack())

    def action_hand_over(self) -> None:
        """Say what is suspected, and hand the bike over."""
        self._acts.begin(HandOver())

    def action_notes(self) -> None:
        """All that is known."""
        self.app.push_screen(ReadScreen("Notebook", list(notebook_lines(self.encounter))))

    def action_hint(self) -> None:
        """Offer a hint with its price."""
        self._acts.offer_hint()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """The key for hints works only where they are allowed."""
        return action != "hint" or self.encounter.hints_allowed

    def leave(self) -> None:
        """Show all moves again where only one sort is shown; otherwise leave the case open."""
        if self._only:
            self._show_every_sort()
        else:
            self._acts.leave()

    def _show_every_sort(self) -> None:
        if self._only:
            self._every = True
            self.action_sort(self._only)
