"""The answers to a step, each a button with its key."""

from __future__ import annotations

from collections.abc import Sequence

from textual.app import ComposeResult
from textual.containers import Grid

from tui.plain.offers import Offer
from tui.terminal.text import broken
from tui.widgets.key_button import KeyButton

_MOST = 9
_LONG_LABEL = 30
_WIDE = 80
_BORDERS = 4  # empty columns beside the label of a button
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
        return -(-len(self.offers) // self._columns)

    @property
    def lines(self) -> int:
        """How many lines they take at the least, labels that are too long for one included."""
        inside = (self.size.width or _WIDE) // self._columns - _BORDERS
        labels = [f"[{offer.key}] {offer.label}" for offer in self.offers]
        each = [len(broken(label, max(10, inside))) for label in labels]
        return sum(max(each[at : at + self._columns]) for at in range(0, len(each), self._columns))

    def grow(self, room: int, large_room: int = 0, beside: int = 0) -> int:
        """Make the buttons tall where they fit into `room` lines, or where targets are to be
        large and they fit into `large_room`; `beside` are lines that others take. How many lines
        they take now."""
        rows, lines = self.rows, self.lines
        most = min(large_room, _LARGE_MOST - beside)
        tall, snug = lines + 3 * rows - 1, lines + 2 * rows
        is_tall = tall <= max(room, most)
        is_snug = not is_tall and snug <= most
        self.set_class(is_tall, "-tall")
        self.set_class(is_snug, "-snug")
        return tall if is_tall else snug if is_snug else lines

    @property
    def _columns(self) -> int:
        return 1 if self.has_class("-one-column") else 2

    def find(self, key: str) -> Offer | None:
        """The offer under a key; None where there is none."""
        return next((offer for offer in self.offers if offer.key == key), None)
