"""The case on one page: complaint, cause, correction, proof. Write it, copy it, close the case."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll

from diagnose.cards.blocks import Audience, Card
from diagnose.cards.plain import plain_lines
from tui.app.bench import Assessed
from tui.dialogs.base import SideScreen
from tui.widgets.hanging_text import HangingText


class JobCardScreen(SideScreen):
    """Shows the card that is written to a file. `looking` offers to go on with the case."""

    CSS_PATH = "job_card.tcss"
    AUTO_FOCUS: ClassVar[str | None] = "#page"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("g", "go_on", "Go on", tooltip="Go on with the case", id="card.go"),
        Binding("k", "other", "Customer", tooltip="For the customer or not", id="card.for"),
        Binding("w", "write", "Write", tooltip="Write as PDF, HTML, Markdown", id="card.write"),
        Binding("l", "app.compare_case", "Like it", tooltip="Cases like this", id="card.like"),
        Binding("z", "app.close_case", "Close", tooltip="Close the case", id="card.close"),
        Binding("c", "copy", "Copy", tooltip="Copy the card", id="card.copy", show=False),
        Binding(
            "f", "app.save_case", "File", tooltip="Save as a case file", id="card.file", show=False
        ),
        Binding("j", "app.jot", "Jot", tooltip="Add a note to the case", id="jot", show=False),
    ]

    def __init__(self, looking: bool = False) -> None:
        super().__init__()
        self._looking = looking
        self._audience: Audience = "workshop"
        self.card: Card | None = None

    def body(self) -> ComposeResult:
        """The page."""
        with VerticalScroll(id="page"):
            yield HangingText(id="text")

    def show_assessed(self, current: Assessed) -> None:
        """Have the card made anew."""
        if current.case is self.bench.case:
            self.card_app.make_card(self._audience, self.show_card)

    def show_card(self, card: Card) -> None:
        """Show the card."""
        self.card = card
        self.query_one(HangingText).show(plain_lines(card))

    def action_other(self) -> None:
        """The card for the customer, or back to the workshop's."""
        self._audience = "customer" if self._audience == "workshop" else "workshop"
        self.query_one("#page").scroll_home(animate=False)
        self.show_case()

    def action_write(self) -> None:
        """Write the card shown to a file."""
        if self.card is not None:
            self.card_app.write_card(self.card)

    def action_copy(self) -> None:
        """Copy the card shown."""
        if self.card is not None:
            self.card_app.copy_card(self.card)

    def action_go_on(self) -> None:
        """Go on with the case."""
        if self._looking:
            self.card_app.go_on_from_card()
        else:
            self.dismiss(None)
