"""What every screen of the card has: help, a way back, and room for the case's news."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any, ClassVar, TypeVar, cast

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.screen import ModalScreen, Screen
from textual.widgets import Footer

from tui.interview.case_head import CaseHead

if TYPE_CHECKING:
    from tui.app.app import BadRideApp
    from tui.app.bench import Assessed, Bench

Result = TypeVar("Result")

BACK = Binding("escape", "leave", "Back", tooltip="Back to the screen before", id="leave")
HELP = Binding("h,f1", "app.help", "Help", tooltip="Keys of this screen", id="help")
ALL = Binding("ctrl+p", "app.command_palette", "All", tooltip="Every action by name", id="all")


def mark_screen(screen: Screen[Any], app: BadRideApp) -> None:
    """Give a screen the classes that styles go by."""
    screen.set_class(app.large, "-large")
    screen.set_class(app.ascii_only, "-ascii")


class CardScreen(Screen[Result]):
    """A screen that follows the case on the bench: `show_case` is called whenever it changes."""

    AUTO_FOCUS: ClassVar[str | None] = ""
    BINDINGS: ClassVar[list[BindingType]] = [BACK, HELP, ALL]

    @property
    def card_app(self) -> BadRideApp:
        """The app, by its own type."""
        return cast("BadRideApp", self.app)

    @property
    def bench(self) -> Bench:
        """The case on the bench. There is one wherever this is asked."""
        bench = self.card_app.bench
        assert bench is not None
        return bench

    def _on_mount(self, event: Any) -> None:
        super()._on_mount(event)
        mark_screen(self, self.card_app)

    def show_case(self) -> None:
        """Show the case as it now stands."""

    def spoken_actions(self) -> Iterator[tuple[str, str]]:
        """(what it is called, action) for the command palette, besides the bindings."""
        yield from ()

    def action_leave(self) -> None:
        """Go back to the screen before."""
        self.dismiss(None)


class SideScreen(CardScreen[None]):
    """Looks at the case beside the step: a head, what `body` gives, and the footer."""

    def compose(self) -> ComposeResult:
        """Head, body, footer."""
        yield CaseHead()
        yield from self.body()
        yield Footer(show_command_palette=False)

    def body(self) -> ComposeResult:
        """What stands under the head."""
        yield from ()

    def on_mount(self) -> None:
        """Show the case."""
        self.show_case()

    def show_case(self) -> None:
        """Show the case as it now stands, once it has been assessed."""
        self.query_one(CaseHead).show(self.bench)
        if self.bench.current is not None:
            self.show_assessed(self.bench.current)

    def show_assessed(self, current: Assessed) -> None:
        """Show what is made of the case."""
        raise NotImplementedError


class CardDialog(ModalScreen[Result]):
    """A question of its own over a screen."""

    AUTO_FOCUS: ClassVar[str | None] = ""
    BINDINGS: ClassVar[list[BindingType]] = [BACK]

    @property
    def card_app(self) -> BadRideApp:
        """The app, by its own type."""
        return cast("BadRideApp", self.app)

    def _on_mount(self, event: Any) -> None:
        super()._on_mount(event)
        mark_screen(self, self.card_app)

    def spoken_actions(self) -> Iterator[tuple[str, str]]:
        """(what it is called, action) for the command palette, besides the bindings."""
        yield from ()

    def action_leave(self) -> None:
        """Close without an answer."""
        self.dismiss(None)
