"""The answers to a step, each a button with its key."""

from __future__ import annotations

from collections.abc import Sequence

from textual.app import ComposeResult
from textual.containers import Grid

from tui.plain.offers import Offer
from tui.widgets.key_button import KeyButton

_MOST = 9
_LONG_LABEL = 30
# lines that large answers may take of the 24 of a small screen
_LARGE_MOST = 12


def label_buttons(buttons: Sequence[KeyButton], offers: Sequence[Offer]) -> None:
    """Show an offer on each button, and hide the buttons that are left over."""
    for number, button in enumerate(buttons):
        button.display = number < len(offers)
        if button.display:
            button.show(offers[number].key, offers[number].label)


class AnswerPad(Grid):
    """Shows offers. The same buttons are used for every step: making new ones is slow."""

    DEFAULT_CSS = """
    AnswerPad {
        height: auto;
        grid-size: 2;
        grid-gutter: 0 1;
        grid-rows: auto;
        padding: 0 1;
    }
    AnswerPad KeyButton { height: auto; text-wrap: wrap; text-overflow: fold; }
    AnswerPad.-one-column { grid-size: 1; }
    """

    def __init__(self, id: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id)
        self._buttons = [KeyButton() for _ in range(_MOST)]
        self.offers: tuple[Offer, ...] = ()

    def compose(self) -> ComposeResult:
        """As many buttons as there can be offers."""
        yield from self._buttons

    def show(self, offers: Sequence[Offer]) -> None:
        """Show these offers, at most nine."""
        self.offers = tuple(offers)[:_MOST]
        longest = max((len(offer.label) for offer in offers), default=0)
        self.set_class(longest > _LONG_LABEL, "-one-column")
        label_buttons(self._buttons, self.offers)

    @property
    def rows(self) -> int:
        """How many rows of buttons there are."""
        columns = 1 if self.has_class("-one-column") else 2
        return -(-len(self.offers) // columns)

    def grow(self, room: int, large: bool = False, beside: int = 0) -> None:
        """Make the buttons tall where they fit into `room` lines, or where targets are to be
        `large` and the step keeps some lines to itself; `beside` are lines that others take."""
        rows, most = self.rows, _LARGE_MOST - beside
        tall = rows * 4 - 1 <= room or (large and rows * 4 - 1 <= most)
        self.set_class(tall, "-tall")
        self.set_class(large and not tall and rows * 3 <= most, "-snug")

    def find(self, key: str) -> Offer | None:
        """The offer under a key; None where there is none."""
        return next((offer for offer in self.offers if offer.key == key), None)
