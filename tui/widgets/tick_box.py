"""A yes or no in a form: Space or a touch ticks it, Enter is left to the form."""

from __future__ import annotations

from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.content import Content
from textual.widgets import Static


class TickBox(Static, can_focus=True):
    """A line such as `[x] words`; `ticked` says whether it is ticked."""

    # Textual's Checkbox is ticked by Enter too, and only its colour tells a tick from none

    DEFAULT_CSS = """
    TickBox { height: auto; width: 1fr; }
    TickBox:focus { background: $primary; color: $background; text-style: bold underline; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("space", "tick", "Tick", tooltip="Tick or untick", key_display="Space"),
    ]

    def __init__(self, words: str, ticked: bool = False, id: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id, markup=False)
        self._words, self.ticked = words, ticked

    def on_mount(self) -> None:
        """Draw the box as it begins."""
        self._show()

    def on_click(self) -> None:
        """A touch takes the keys, and ticks or unticks."""
        self.focus()
        self.action_tick()

    def action_tick(self) -> None:
        """Tick the box, or untick it."""
        self.ticked = not self.ticked
        self._show()

    def _show(self) -> None:
        mark = "x" if self.ticked else " "
        self.update(Content.assemble((f"[{mark}]", "bold"), f" {self._words}"))
