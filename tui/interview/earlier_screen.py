"""Everything said so far, oldest first: change any of it, or strike it out."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.widgets import OptionList, Static

from diagnose.diagnosis import Assessed
from diagnose.words.case_words import assumed_texts
from diagnose.words.event_words import event_row, event_text
from tui.interview.side import SideScreen
from tui.widgets.keyed import keyed
from tui.widgets.row_list import RowList


class EarlierScreen(SideScreen):
    """A change counts as if it had been said that way from the beginning."""

    CSS_PATH = "earlier_screen.tcss"
    AUTO_FOCUS: ClassVar[str | None] = "#said"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "change", "Change", tooltip="Change what is marked", id="earlier.change"),
        keyed("z", "strike", "As if never said", id="earlier.strike"),
        keyed("u", "undo", "Take the last answer back", id="undo"),
        keyed("j", "jot", "Add a note to the case", id="jot"),
        keyed("e", "leave", "Back", show=False),
    ]

    def body(self) -> ComposeResult:
        """The hint and the list of events."""
        yield Static("What was said, oldest first. Enter changes it, z strikes it out.", id="hint")
        yield RowList(id="said")

    def show_assessed(self, current: Assessed) -> None:
        """List the events and mark the latest."""
        case = self.case
        said = self.query_one(RowList)
        marked = said.highlighted
        rests_on = assumed_texts(case.kept.folded.said if case.kept is not None else ())
        said.show_rows(
            f"{number:>2}  {event_row(case.rules, event)}{rests_on.get(event, '')}"
            for number, event in enumerate(case.case.events, 1)
        )
        if case.case.events:
            last = len(case.case.events) - 1
            said.highlighted = last if marked is None else min(marked, last)

    def spoken_actions(self) -> Iterator[tuple[str, str]]:
        """Change any event by its text."""
        for number, event in enumerate(self.case.case.events):
            yield f"Change: {event_text(self.case.rules, event)}", f"change_at({number})"

    def on_option_list_option_selected(self, message: OptionList.OptionSelected) -> None:
        """Enter or a touch on a row."""
        self.action_change_at(message.option_index)

    def action_change(self) -> None:
        """Change what is marked."""
        marked = self.query_one(RowList).highlighted
        if marked is not None:
            self.action_change_at(marked)

    def action_change_at(self, index: int) -> None:
        """Change the event at `index`."""
        self.acts.change_event(index)

    def action_strike(self) -> None:
        """Strike out what is marked."""
        marked = self.query_one(RowList).highlighted
        if marked is not None and self.case.case.events:
            self.acts.strike_event(marked)
