"""The app: how it opens, how it looks, and the keys that hold everywhere."""

from __future__ import annotations

import logging
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, ClassVar

from textual.binding import Binding, BindingType
from textual.filter import LineFilter

from diagnose.diagnosis import Workshop
from diagnose.records.store.place import Place
from diagnose.records.store.store import Store
from diagnose.words.bikes import bike_line
from diagnose.words.chances import counted
from rules.problems import BadInput
from tui.app.actions.file import FileActions
from tui.app.actions.harsh import HarshActions
from tui.app.actions.training import TrainingActions
from tui.app.palette import CardActions
from tui.app.start import StartScreen
from tui.app.themes import DARK, LIGHT
from tui.cli.common import BROKE
from tui.dialogs.base import mark_screen
from tui.dialogs.help import HelpScreen
from tui.terminal.comma_filter import CommaFilter
from tui.terminal.glyphs import ASCII, UNICODE, AsciiFilter, Glyphs
from tui.terminal.logs import broken_words, log, log_breakdown

WIDE, ROOMY = 120, 36


class BadRideApp(TrainingActions, HarshActions, FileActions):
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
        open_store: Callable[[], Store] | None = None,
        learning: bool = True,
        packs: Sequence[Path] = (),
        examples: Path | None = None,
        ascii_only: bool = False,
        light: bool = False,
        large: bool = False,
        decimal_comma: bool = False,
        keep_setting: Callable[[str, str], None] = lambda name, value: None,
    ) -> None:
        super().__init__(open_workshop, open_store, learning=learning)
        self.packs = packs
        self.examples = examples
        self.ascii_only = ascii_only
        self.glyphs: Glyphs = ASCII if ascii_only else UNICODE
        self.large = large
        self._light = light
        self._decimal_comma = decimal_comma
        self._keep_setting = keep_setting

    def get_line_filters(self) -> Sequence[LineFilter]:
        """What goes to the terminal passes these; the last one spells it in ASCII."""
        filters = [*super().get_line_filters()]
        if self._decimal_comma:
            filters.append(CommaFilter())
        if self.ascii_only:
            filters.append(AsciiFilter())
        return filters

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
        return bike_line(self.rules, self.bike.machine, self.bike.name)

    def status_words(self) -> str:
        """What the program works from, and where it keeps what is entered."""
        if self.store is None:
            return "Loading; keys typed now are not lost."
        base = self.rules.title
        if len(self.rules.packs) < 2:
            base += f", version {self.rules.info.version}"
        cases = counted(self.taught_by, "proven case")
        taught = f", as {cases} of this shop moved them" if self.taught_by else ""
        known = f"{base}: {len(self.rules.causes)} causes{taught}."
        if not self.keeps:
            return f"{known}\nNothing is kept: what you enter is gone when the program ends."
        return f"{known}\nEvery answer is kept at once in {short_place(self.store.place)}"

    def action_help(self) -> None:
        """Show the keys of the screen on top."""
        if not isinstance(self.screen, HelpScreen):
            self.push_screen(HelpScreen(self.screen.active_bindings))

    def action_other_theme(self) -> None:
        """Dark or light."""
        self.theme = DARK.name if self.theme == LIGHT.name else LIGHT.name
        self._keep("theme", "light" if self.theme == LIGHT.name else "dark")

    def action_large(self) -> None:
        """Large targets, or not."""
        self.large = not self.large
        for screen in self.screen_stack:
            mark_screen(screen, self)
        self.show_news()
        self._keep("large", str(self.large).lower())

    def _keep(self, name: str, value: str) -> None:
        try:
            self._keep_setting(name, value)
        except BadInput as error:
            self.notify(f"Not kept for the next time: {error}", severity="warning", markup=False)

    def _fatal_error(self) -> None:
        """Leave with plain words; where the program broke stands in the log."""
        error = self._exception
        if error is None or log.isEnabledFor(logging.DEBUG):
            super()._fatal_error()
            return
        log_breakdown(error)
        self._return_code = BROKE
        self._exit_renderables.append(broken_words(error))
        self._close_messages_no_wait()


def short_place(place: Place) -> str:
    """Where the store is, with `~` for the home folder."""
    home = Path.home()
    if place.path is not None and place.path.is_relative_to(home):
        return str(Path("~") / place.path.relative_to(home))
    return str(place)
