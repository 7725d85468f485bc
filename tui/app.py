"""The app: how it opens, how it looks, and the keys that hold everywhere."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, ClassVar

from textual.binding import Binding, BindingType
from textual.filter import LineFilter

from diagnose.case import Case
from diagnose.interview import Workshop
from tui.file_actions import FileActions
from tui.glyphs import ASCII, UNICODE, AsciiFilter, Glyphs
from tui.harsh_actions import HarshActions
from tui.palette import CardActions
from tui.screens.base import mark_screen
from tui.screens.help import HelpScreen
from tui.screens.start import StartScreen
from tui.shelf import SessionShelf, Shelf
from tui.telling import bike_line
from tui.themes import DARK, LIGHT

WIDE, ROOMY = 120, 36


class BadRideApp(HarshActions, FileActions):
    """Opens on the start screen at once and loads the rule base meanwhile."""

    TITLE = "badride"
    CSS_PATH = "app.tcss"
    COMMANDS: ClassVar[Any] = {CardActions}
    # declared as instance variables by the base class, so they cannot be ClassVar here
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (WIDE, "-wide")]  # noqa: RUF012
    VERTICAL_BREAKPOINTS = [(0, "-short"), (ROOMY, "-roomy")]  # noqa: RUF012
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+t", "other_theme", "Theme", show=False, tooltip="Dark or light", id="theme"),
        Binding("ctrl+l", "large", "Large", show=False, tooltip="Large targets", id="large"),
        Binding("f1", "help", "Help", show=False, tooltip="Keys of this screen", id="help.any"),
        Binding("ctrl+q", "quit", "Quit", show=False, tooltip="Leave the program", id="quit.now"),
    ]

    def __init__(
        self,
        open_workshop: Callable[[], Workshop],
        *,
        shelf: Shelf | None = None,
        examples: Path | None = None,
        ascii_only: bool = False,
        light: bool = False,
        large: bool = False,
    ) -> None:
        super().__init__(open_workshop, shelf or SessionShelf())
        self.examples = examples
        self.ascii_only = ascii_only
        self.glyphs: Glyphs = ASCII if ascii_only else UNICODE
        self.large = large
        self._light = light

    def get_line_filters(self) -> Sequence[LineFilter]:
        """What goes to the terminal passes these; the last one spells it in ASCII."""
        filters = super().get_line_filters()
        return [*filters, AsciiFilter()] if self.ascii_only else filters

    def on_mount(self) -> None:
        """Show the start screen at once and load meanwhile; keys typed already wait."""
        self.register_theme(DARK)
        self.register_theme(LIGHT)
        self.theme = LIGHT.name if self._light else DARK.name
        self.push_screen(StartScreen())
        self.load()

    def bike_words(self) -> str:
        """The bike a case would start on."""
        if self.workshop is None:
            return "loading the rule base ..."
        return bike_line(self.rules, Case(self.bike.traits, self.bike.targets), self.bike.name)

    def status_words(self) -> str:
        """What the program works from."""
        if self.workshop is None:
            return "Loading; keys typed now are not lost."
        info = self.rules.info
        return f"{info.title}, version {info.version}: {len(self.rules.causes)} causes."

    def action_help(self) -> None:
        """Show the keys of the screen on top."""
        if not isinstance(self.screen, HelpScreen):
            self.push_screen(HelpScreen(self.screen.active_bindings))

    def action_other_theme(self) -> None:
        """Dark or light."""
        self.theme = DARK.name if self.theme == LIGHT.name else LIGHT.name

    def action_large(self) -> None:
        """Large targets, or not."""
        self.large = not self.large
        for screen in self.screen_stack:
            mark_screen(screen, self)
        self._tell_screens()
