"""What an addition comes to, before it is kept: what it does to worked cases, doubts, new lines."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Iterator
from typing import ClassVar, Literal

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widgets import Static

from diagnose.authoring.adding.trying import TriedAddition
from rules.problems import BadInput
from tui.dialogs.base import CardScreen
from tui.widgets.hanging_text import HangingText
from tui.widgets.key_footer import KeyFooter
from tui.widgets.keyed import keyed

Told = Callable[[int], None]
TryIt = Callable[[Told, Callable[[], None]], TriedAddition]
_TOLD_EVERY = 0.5
"""Seconds between two looks at how far it is."""


class AdditionScreen(CardScreen[TriedAddition | Literal["later"] | None]):
    """Returns the addition when it is to be kept, `later` to put it by, or None to go back.

    `try_it` works in a thread; it is told where to say how many worked cases there are, and what to
    call after each.
    """

    CSS_PATH = "addition_screen.tcss"
    AUTO_FOCUS: ClassVar[str | None] = "#text"
    BINDINGS: ClassVar[list[BindingType]] = [
        keyed("y", "keep", "Keep it in the pack", "Keep", id="addition.keep"),
        Binding("escape", "leave", "Back", tooltip="Back to the last question", id="addition.back"),
        Binding("f2", "later", "Put by", tooltip="Leave, and keep what was said for later",
                id="addition.later"),
    ]  # fmt: skip

    def __init__(self, title: str, try_it: TryIt) -> None:
        super().__init__()
        self._title, self._try_it = title, try_it
        self._made: TriedAddition | None = None
        self._length = self._done = 0

    def compose(self) -> ComposeResult:
        """A title, and what there is to read."""
        yield Static(f"Keep “{self._title}”?", id="title", markup=False)
        with VerticalScroll(id="text"):
            yield HangingText(id="said")
        yield KeyFooter()

    def on_mount(self) -> None:
        """Try it, and say how far that is."""
        self._tell()
        telling = self.set_interval(_TOLD_EVERY, self._tell)

        async def find() -> TriedAddition | str:
            try:
                return await asyncio.to_thread(self._try_it, self._start, self._step)
            except BadInput as error:
                return str(error)
            finally:
                telling.stop()

        self.look_up(find, self._show)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """It can be kept once it is shown what it does."""
        return action != "keep" or self._made is not None

    def action_keep(self) -> None:
        """Keep it."""
        self.dismiss(self._made)

    def action_later(self) -> None:
        """Leave it for later."""
        self.dismiss("later")

    def _start(self, length: int) -> None:
        self._length = length

    def _step(self) -> None:
        self._done += 1

    def _tell(self) -> None:
        if self._length and self._done == self._length:
            text = "Looking for what is doubtful ..."
        else:
            far = f": {self._done} of {self._length}" if self._length else ""
            text = f"Trying it on worked cases{far} ..."
        self.query_one("#said", HangingText).show([text])

    def _show(self, found: TriedAddition | str) -> None:
        if isinstance(found, str):
            lines = ["It cannot be kept like this:", *found.split("\n"), "Escape goes back."]
        else:
            self._made = found
            lines = list(_lines(found))
        self.query_one("#said", HangingText).show(lines)
        self.refresh_bindings()


def _lines(made: TriedAddition) -> Iterator[str]:
    yield from made.effect
    if made.doubts:
        yield ""
        yield from (f"Doubtful: {doubt}" for doubt in made.doubts)
    yield ""
    yield "New in the pack:"
    yield from made.written
