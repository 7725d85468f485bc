"""Everything said so far, oldest first: change any of it, or strike it out."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.widgets import Footer, OptionList, Static

from tui.screens.base import CardScreen
from tui.telling import event_text
from tui.widgets.case_head import CaseHead
from tui.widgets.row_list import RowList


class EarlierScreen(CardScreen[None]):
    """What is changed counts as if it had been said so in the first place."""

    CSS_PATH = "earlier.tcss"
    AUTO_FOCUS: ClassVar[str | None] = "#said"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "change", "Change", tooltip="Change what is marked", id="earlier.change"),
        Binding("x", "strike", "Strike out", tooltip="As if never said", id="earlier.strike"),
        Binding("u", "app.undo", "Undo", tooltip="Take the last answer back", id="undo"),
        Binding("j", "app.jot", "Jot", tooltip="Add a note to the case", id="jot"),
    ]

    def compose(self) -> ComposeResult:
        """Head, hint, list."""
        yield CaseHead()
        yield Static("What was said, oldest first. Enter changes it, x strikes it out.", id="hint")
        yield RowList(id="said")
        yield Footer(show_command_palette=False)

    def on_mount(self) -> None:
        """Mark the latest."""
        self.show_case()

    def show_case(self) -> None:
        """List the events."""
        bench = self.bench
        self.query_one(CaseHead).show(bench.rules, bench)
        said = self.query_one(RowList)
        marked = said.highlighted
        said.show_rows(
            f"{number:>2}  {event_text(bench.rules, event)}"
            for number, event in enumerate(bench.case.events, 1)
        )
        if bench.case.events:
            last = len(bench.case.events) - 1
            said.highlighted = last if marked is None else min(marked, last)

    def spoken_actions(self) -> Iterator[tuple[str, str]]:
        """Change any of it."""
        for number, event in enumerate(self.bench.case.events):
            yield f"Change: {event_text(self.bench.rules, event)}", f"change_at({number})"

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
        self.card_app.change_event(index)

    def action_strike(self) -> None:
        """Strike out what is marked."""
        marked = self.query_one(RowList).highlighted
        if marked is not None and self.bench.case.events:
            self.card_app.strike_event(marked)
