"""What is offered besides the answers when answers move nothing."""

from __future__ import annotations

from collections.abc import Sequence

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.widgets import Static

from tui.plain.offers import Offer
from tui.widgets.key_button import KeyButton

_MOST = 3


class WaysOn(Vertical):
    """A line of words and a button for each offer; takes no room where there are none."""

    DEFAULT_CSS = """
    WaysOn { height: auto; padding: 0 1; display: none; }
    WaysOn > Static { width: 1fr; }
    WaysOn > .said { text-style: bold; color: $warning; }
    """

    def __init__(self) -> None:
        super().__init__()
        self._said = Static(classes="said", markup=False)
        self._buttons = [KeyButton() for _ in range(_MOST)]
        self.offers: tuple[Offer, ...] = ()

    def compose(self) -> ComposeResult:
        """What is said, and as many buttons as there can be offers."""
        yield self._said
        yield from self._buttons

    def show(self, said: str, offers: Sequence[Offer]) -> None:
        """Say why, and show the offers; none where there are none."""
        self.offers = tuple(offers)
        self._said.update(said)
        self.display = bool(self.offers)
        for number, button in enumerate(self._buttons):
            button.display = number < len(self.offers)
            if button.display:
                button.show(self.offers[number].key, self.offers[number].label)

    @property
    def rows(self) -> int:
        """How many lines it takes."""
        return len(self.offers) + 1 if self.offers else 0

    def find(self, key: str) -> Offer | None:
        """The offer under a key; None where there is none."""
        return next((offer for offer in self.offers if offer.key == key), None)
