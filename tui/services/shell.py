"""What the rooms may ask of the app; they do not import it."""

from __future__ import annotations

from collections.abc import Callable, Coroutine
from typing import TYPE_CHECKING, Any, Literal, Protocol, TypeVar

from textual.screen import Screen

from tui.services.page import Page

if TYPE_CHECKING:
    from tui.services.shop import Shop

Result = TypeVar("Result")
LOOKS = "looks"
"""The group of the workers that look something up for a screen to show; keys do not wait."""
SECONDS_BETWEEN_TRIES = 15.0
"""After how long it is tried again to keep what could not be kept."""
Severity = Literal["information", "warning", "error"]


class Shell(Protocol):
    """Screens to show, work to do while keys wait, words to say.

    A *flow* is a coroutine that shows screens one after another and works in between. While it
    works, keys wait in order; while it waits for a screen, that screen has them. `BadInput` and
    `OSError` that a flow does not catch are told to the person, and the flow ends.
    """

    @property
    def shop(self) -> Shop:
        """The rule base in use and the store behind it."""

    @property
    def page(self) -> Page | None:
        """The page that the program shows on; None at a terminal."""

    def start(self, flow: Coroutine[Any, Any, None]) -> None:
        """Run a flow. Keys typed while it works wait."""

    async def ask(self, screen: Screen[Result]) -> Result | None:
        """Inside a flow: show a screen and wait for what it returns; None when it is left."""

    async def work(self, job: Callable[[], Result]) -> Result:
        """Inside a flow: do `job` in a thread. Raises what it raises."""

    def put(self, screen: Screen[Any]) -> None:
        """Show a screen on top of the others; nobody waits for what it returns."""

    def swap(self, screen: Screen[Any]) -> None:
        """Show a screen in place of the one on top."""

    def back_to_start(self) -> None:
        """Leave every screen but the first."""

    @property
    def top(self) -> Screen[Any]:
        """The screen on top."""

    def refresh_top(self) -> None:
        """Let the screen on top show what has changed; those below do so when they are on top."""

    def shows(self, kind: type[Screen[Any]]) -> bool:
        """Whether a screen of this kind is open, on top or below another."""

    def say(self, text: str, severity: Severity = "information", seconds: float = 5.0) -> None:
        """Show a message for some seconds; it needs no answer."""

    def drop_typed_keys(self) -> int:
        """Forget the keys that wait, and say how many they were."""

    def copy(self, text: str) -> None:
        """Hand text to the clipboard of the terminal."""

    def quit(self, status: int = 0) -> None:
        """End the program at once."""
