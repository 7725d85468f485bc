"""The case on one page: complaint, cause, correction, proof. Write it, copy it, close the case."""

from __future__ import annotations

from functools import partial
from typing import ClassVar, Protocol

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll

from diagnose.cards.blocks import Audience, Card
from diagnose.cards.plain import plain_lines
from diagnose.diagnosis import Assessed
from tui.interview.case_at_work import CaseActs, CaseAtWork
from tui.interview.side import SideScreen
from tui.widgets.hanging_text import HangingText
from tui.widgets.keyed import keyed


class CardActs(Protocol):
    """What may be done with the card of the case at work."""

    def audiences(self) -> tuple[Audience, ...]:
        """Whom there is a card for, in the order they are shown."""

    async def make_card(self, audience: Audience | None) -> Card:
        """The card for these, or the one that comes first now. Raises `BadInput`."""

    def fill_in(self) -> None:
        """Ask for customer, technician, parts and time."""

    def copy_card(self, card: Card) -> None:
        """Copy it to the clipboard."""

    def write_card(self, card: Card) -> None:
        """Ask for a file and write it there."""

    def go_on(self) -> None:
        """Go on with the case, opening it again where it is closed."""

    def compare(self) -> None:
        """List cases like this one."""

    def save(self) -> None:
        """Save the case as a case file."""


class JobCardScreen(SideScreen):
    """Shows the card that is written to a file. `looking` offers to go on with the case."""

    CSS_PATH = "job_card.tcss"
    AUTO_FOCUS: ClassVar[str | None] = "#page"
    BINDINGS: ClassVar[list[BindingType]] = [
        keyed("g", "go_on", "Go on with the case", id="card.go"),
        Binding("tab", "other", "Reader", tooltip="For the workshop, the customer or to take along",
                id="card.for"),
        keyed("e", "fill_in", "Customer, technician, parts, time", "Fill in", id="card.fill"),
        keyed("o", "write", "Write as PDF, HTML, Markdown", "Write", id="card.write"),
        keyed("c", "compare", "Cases like this", "Alike", id="card.like"),
        keyed("f", "close_case", "Close the case", "Close", id="card.close"),
        # the key that opens the card closes it again, and the key line says so
        Binding("k,escape", "leave", "Back", tooltip="Back to the screen before", id="leave",
                key_display="k/esc"),
        Binding("ctrl+c", "copy", "Copy", tooltip="Copy the card", id="card.copy", show=False),
        Binding("ctrl+s", "save", "File", tooltip="Save as a case file", id="card.file",
                show=False),
        keyed("j", "jot", "Add a note to the case", id="jot", show=False),
    ]  # fmt: skip

    def __init__(
        self, case: CaseAtWork, acts: CaseActs, cards: CardActs, *, looking: bool = False
    ) -> None:
        super().__init__(case, acts)
        self._cards, self._looking = cards, looking
        self._audience: Audience | None = None
        self.card: Card | None = None

    def body(self) -> ComposeResult:
        """The page that the card is shown on."""
        with VerticalScroll(id="page"):
            yield HangingText(id="text")

    def show_assessed(self, current: Assessed) -> None:
        """Make the card again from the case as it now stands."""
        if current is self.case.assessed:
            self.look_up(partial(self._cards.make_card, self._audience), self._show_card)

    def _show_card(self, card: Card) -> None:
        self.card = card
        self.query_one(HangingText).show(plain_lines(card))

    def action_other(self) -> None:
        """Show the next card: for the workshop, for the customer, and what a rider takes along."""
        if self.card is None:
            return
        cards = self._cards.audiences()
        self._audience = cards[(cards.index(self.card.audience) + 1) % len(cards)]
        self.query_one("#page").scroll_home(animate=False)
        self.show_case()

    def action_fill_in(self) -> None:
        """Fill in customer, technician, parts and time."""
        self._cards.fill_in()

    def action_write(self) -> None:
        """Write the card shown to a file."""
        if self.card is not None:
            self._cards.write_card(self.card)

    def action_copy(self) -> None:
        """Copy the card shown."""
        if self.card is not None:
            self._cards.copy_card(self.card)

    def action_go_on(self) -> None:
        """Go on with the case."""
        if self._looking:
            self._cards.go_on()
        else:
            self.dismiss(None)

    def action_compare(self) -> None:
        """List cases like this one."""
        self._cards.compare()

    def action_save(self) -> None:
        """Save the case as a case file."""
        self._cards.save()
