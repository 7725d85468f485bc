"""What every screen has: help, a way back, and a way to show what has changed."""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Iterator
from typing import Any, ClassVar, TypeVar

from textual.app import App
from textual.binding import Binding, BindingType
from textual.screen import ModalScreen, Screen
from textual.worker import Worker

from rules.problems import BadInput
from tui.services.shell import LOOKS
from tui.terminal.glyphs import ASCII, UNICODE, Glyphs
from tui.widgets.status_line import SOON, WORKING, is_whole, say_on, unsay

LARGE, IN_ASCII = "-large", "-ascii"
"""Classes that the app gives every screen: large targets, and no signs beyond ASCII."""

Result = TypeVar("Result")
Found = TypeVar("Found")

BACK = Binding("escape", "leave", "Back", tooltip="Back to the screen before", id="leave")
HELP = Binding("h,f1", "app.help", "Help", tooltip="Keys of this screen", id="help")
ALL = Binding("ctrl+p", "app.command_palette", "All", tooltip="Every action by name", id="all")


def mark_screen(screen: Screen[Any], app: App[Any]) -> None:
    """Give a screen the classes that styles go by."""
    for name in (LARGE, IN_ASCII):
        screen.set_class(app.has_class(name), name)


def glyphs_of(app: App[Any]) -> Glyphs:
    """The signs that the terminal can show."""
    return ASCII if app.has_class(IN_ASCII) else UNICODE


class CardScreen(Screen[Result]):
    """A screen. `show_case` is called when what it shows has changed while it is on top."""

    AUTO_FOCUS: ClassVar[str | None] = ""
    BINDINGS: ClassVar[list[BindingType]] = [BACK, HELP, ALL]

    def _on_mount(self, event: Any) -> None:
        super()._on_mount(event)
        mark_screen(self, self.app)

    def show_case(self) -> None:
        """Show what has changed; screens that can change while they are open override it."""

    def look_up(self, find: Callable[[], Awaitable[Found]], show: Callable[[Found], None]) -> None:
        """Find something in the background and then `show` it; keys do not wait for it.

        Only the latest look-up is shown, and none once the screen has gone. The message of a
        `BadInput` is shown instead.
        """

        async def working() -> None:
            await say_on(self, WORKING, "working")

        async def look() -> None:
            soon = self.set_timer(SOON, working)
            try:
                found = await find()
            except BadInput as error:
                self.notify(str(error), severity="error", markup=False)
            else:
                # a screen that is being left, or is not composed yet, lacks the parts to show it in
                if is_whole(self) and self in self.app.screen_stack:
                    show(found)
            finally:
                soon.stop()
                await unsay(self, "working")

        _: Worker[None] = self.run_worker(look, group=LOOKS, exclusive=True)

    def spoken_actions(self) -> Iterator[tuple[str, str]]:
        """(what it is called, action) for the command palette, besides the bindings."""
        yield from ()

    def action_leave(self) -> None:
        """Go back to the screen before."""
        self.dismiss(None)


class CardDialog(ModalScreen[Result]):
    """A question asked on top of a screen."""

    AUTO_FOCUS: ClassVar[str | None] = ""
    BINDINGS: ClassVar[list[BindingType]] = [BACK]

    def _on_mount(self, event: Any) -> None:
        super()._on_mount(event)
        mark_screen(self, self.app)

    def spoken_actions(self) -> Iterator[tuple[str, str]]:
        """(what it is called, action) for the command palette, besides the bindings."""
        yield from ()

    def action_leave(self) -> None:
        """Close without an answer."""
        self.dismiss(None)
