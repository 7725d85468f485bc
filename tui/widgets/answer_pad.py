"""The answers to a step, each a button with its key."""

from __future__ import annotations

from collections.abc import Sequence

from textual.app import ComposeResult
from textual.containers import Grid

from tui.offers import Offer
from tui.widgets.key_button import KeyButton

_MOST = 9
_LONG_LABEL = 30


class AnswerPad(Grid):
    """Shows offers. The buttons stay; only what they stand for changes, which is quick."""

    DEFAULT_CSS = """
    AnswerPad {
        height: auto;
        grid-size: 2;
        grid-gutter: 0 1;
        grid-rows: auto;
        padding: 0 1;
    }
    AnswerPad.-one-column { grid-size: 1; }
    .-roomy AnswerPad KeyButton, .-large AnswerPad KeyButton { height: 3; }
    .-roomy AnswerPad, .-large AnswerPad { grid-gutter: 1 1; }
    .-large AnswerPad { grid-gutter: 1 2; }
    AnswerPad.-few KeyButton { height: 3; }
    AnswerPad.-few { grid-gutter: 1 1; }
    """

    def __init__(self, id: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id)
        self._buttons = [KeyButton() for _ in range(_MOST)]
        self.offers: tuple[Offer, ...] = ()

    def compose(self) -> ComposeResult:
        """All the buttons there can be."""
        yield from self._buttons

    def show(self, offers: Sequence[Offer]) -> None:
        """Stand for these offers."""
        self.offers = tuple(offers)[:_MOST]
        longest = max((len(offer.label) for offer in offers), default=0)
        self.set_class(longest > _LONG_LABEL, "-one-column")
        self.set_class(len(offers) <= 2, "-few")
        for number, button in enumerate(self._buttons):
            button.display = number < len(self.offers)
            if button.display:
                button.show(self.offers[number].key, self.offers[number].label)

    def find(self, key: str) -> Offer | None:
        """The offer under a key."""
        return next((offer for offer in self.offers if offer.key == key), None)
