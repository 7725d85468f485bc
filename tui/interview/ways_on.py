"""What is offered besides the answers when answers move nothing."""

from __future__ import annotations

from collections.abc import Sequence

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.widgets import Static

from tui.interview.answer_pad import label_buttons
from tui.plain.offers import Offer
from tui.terminal.text import broken
from tui.widgets.key_button import KeyButton

_MOST = 3
_BORDERS = 4  # empty columns of the list and of a button


class WaysOn(Vertical):
    """A line of words and a button for each offer; takes no room where there are none."""

    DEFAULT_CSS = """
    WaysOn { height: auto; padding: 0 1; display: none; }
    WaysOn > .said { width: 1fr; text-style: bold; color: $warning; }
    WaysOn > .said { height: 1; text-wrap: nowrap; text-overflow: ellipsis; }
    WaysOn > KeyButton { height: auto; text-wrap: wrap; text-overflow: fold; }
    WaysOn.-whole > Static { height: auto; text-wrap: wrap; }
    """

    def __init__(self) -> None:
        super().__init__()
        self._said = Static(classes="said", markup=False)
        self._buttons = [KeyButton() for _ in range(_MOST)]
        self._text = ""
        self.offers: tuple[Offer, ...] = ()

    def compose(self) -> ComposeResult:
        """What is said, and as many buttons as there can be offers."""
        yield self._said
        yield from self._buttons

    def show(self, said: str, offers: Sequence[Offer]) -> None:
        """Say why, and show the offers; none where there are none."""
        self.offers = tuple(offers)
        self._text = said
        self._said.update(said)
        self.display = bool(self.offers)
        label_buttons(self._buttons, self.offers)

    @property
    def rows(self) -> int:
        """How many lines it takes while each label has one."""
        heights = [button.styles.height for button in self._buttons[: len(self.offers)]]
        return sum((height and height.cells) or 1 for height in heights) + (1 if heights else 0)

    def unfold(self, room: int, width: int) -> int:
        """Show labels that are longer than `width` whole, where that takes at most `room` more
        lines; how many it takes."""
        inside = max(10, width - _BORDERS)
        shown = [self._text, *(f"[{offer.key}] {offer.label}" for offer in self.offers)]
        more = sum(len(broken(text, inside)) - 1 for text in shown)
        self.set_class(0 < more <= room, "-whole")
        return more if more <= room else 0

    def find(self, key: str) -> Offer | None:
        """The offer under a key; None where there is none."""
        return next((offer for offer in self.offers if offer.key == key), None)
