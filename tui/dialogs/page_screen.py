"""Wait for what a guest does on the page around the terminal."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from typing import ClassVar, TypeVar

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.widgets import Static

from tui.dialogs.base import CardDialog
from tui.widgets.key_footer import KeyFooter

Result = TypeVar("Result")


class PageScreen(CardDialog[Result | None]):
    """Returns what `done` comes to, or None when it is left before that."""

    CSS_PATH = "prompt_screen.tcss"
    AUTO_FOCUS: ClassVar[str | None] = ""

    def __init__(self, title: str, hint: str, done: Callable[[], Awaitable[Result]]) -> None:
        super().__init__()
        self._title, self._hint, self._done = title, hint, done

    def compose(self) -> ComposeResult:
        """What is to be done, and how to leave it."""
        with Vertical(id="box"):
            yield Static(self._title, id="title", markup=False)
            yield Static(self._hint, id="hint", markup=False)
            yield Static("Escape leaves it.", id="keys", markup=False)
        yield KeyFooter()

    def on_mount(self) -> None:
        """Begin to wait; the worker is cancelled with the screen."""
        self.run_worker(self._wait())

    async def _wait(self) -> None:
        self.dismiss(await self._done())
