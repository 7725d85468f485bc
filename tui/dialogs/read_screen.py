"""Something to read, over the screen it is about."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.widgets import Static

from tui.dialogs.base import CardDialog
from tui.widgets.hanging_text import HangingText
from tui.widgets.key_footer import KeyFooter


class ReadScreen(CardDialog[None]):
    """A title and lines under it; lines that begin with `CAUTION` stand out. Arrow keys scroll."""

    CSS_PATH = "read_screen.tcss"
    AUTO_FOCUS: ClassVar[str | None] = "#text"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "go_on", "Go on", tooltip="Close this", id="read.leave",
                key_display="Enter"),
    ]  # fmt: skip

    def __init__(self, title: str, lines: Sequence[str]) -> None:
        super().__init__()
        self._title, self._lines = title, lines

    def compose(self) -> ComposeResult:
        """The title, and a text for each line."""
        with Vertical(id="box"):
            yield Static(self._title, id="title", markup=False)
            with VerticalScroll(id="text"):
                for line in self._lines:
                    yield HangingText(classes="caution" if line.startswith("CAUTION") else "")
        yield KeyFooter()

    def action_go_on(self) -> None:
        """Close it."""
        self.dismiss(None)

    def on_mount(self) -> None:
        """Put each line into its text."""
        for text, line in zip(self.query(HangingText), self._lines, strict=True):
            text.show([line])
