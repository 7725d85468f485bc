"""The app: it opens the shop, hands it to the rooms, and holds the keys that work everywhere."""

from __future__ import annotations

import asyncio
import logging
import os
from collections.abc import Callable, Coroutine, Sequence
from contextlib import suppress
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar, TypeVar

from textual import events
from textual.binding import Binding, BindingType
from textual.filter import LineFilter
from textual.screen import Screen
from textual.worker import WorkerCancelled

from rules.problems import BadInput
from tui.app.palette import CardActions
from tui.app.start import StartScreen
from tui.app.themes import DARK, LIGHT
from tui.app.typeahead import TypeAheadApp
from tui.dialogs.base import IN_ASCII, LARGE, CardScreen, mark_screen
from tui.dialogs.help_screen import HelpScreen
from tui.services.page import Page
from tui.services.shell import SECONDS_BETWEEN_TRIES, Severity
from tui.services.shop import Shop
from tui.terminal.glyphs import AsciiFilter
from tui.terminal.logs import broken_words, log, log_breakdown
from tui.terminal.statuses import BAD_INPUT, BROKE
from tui.widgets.status_line import SOON, WORKING, say_on, say_wrong_key, unsay

if TYPE_CHECKING:
    from diagnose.advice.assessor import Assessor
    from diagnose.records.store.store import Store
    from tui.app.rooms import Rooms

Result = TypeVar("Result")

WIDE, ROOMY = 120, 36
_FLOWS = "flows"


class BadRideApp(TypeAheadApp):
    """The `Shell` of the rooms: opens on the start screen at once, then loads the rule base.

    `open_assessor` may raise `BadInput`; the app then ends with its message and exit status 2.
    Where `open_store` raises it, the person is asked what to do.
    """

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
        open_assessor: Callable[[], Assessor],
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
        super().__init__()
        self.page: Page | None = None
        self.shop = Shop(open_assessor, open_store, learning=learning)
        self._packs, self._examples = packs, examples
        self._rooms: Rooms | None = None
        self._folders = [*packs, *([] if examples is None else [examples])]
        self.set_class(large, LARGE)
        self.set_class(ascii_only, IN_ASCII)
        self._to_say: tuple[str, Severity, float] | None = None
        self._light = light
        self._decimal_comma = decimal_comma
        self._keep_setting = keep_setting

    @property
    def rooms(self) -> Rooms:
        """The rooms. They are loaded when first asked for, after the first screen is painted."""
        if self._rooms is None:
            from tui.app.rooms import Rooms  # noqa: PLC0415

            self._rooms = Rooms(
                self,
                packs=self._packs,
                examples=self._examples,
                keep_pack=lambda folder: self._keep("packs", str(folder)),
            )
        return self._rooms

    def get_line_filters(self) -> Sequence[LineFilter]:
        """The filters for everything that is drawn; the last one turns it into ASCII."""
        filters = [*super().get_line_filters()]
        if self._decimal_comma:
            from tui.terminal.comma_filter import CommaFilter  # noqa: PLC0415

            filters.append(CommaFilter())
        if self.has_class(IN_ASCII):
            filters.append(AsciiFilter())
        return filters

    def on_mount(self) -> None:
        """Show the start screen at once, then load; keys typed until that is done wait."""
        self.register_theme(DARK)
        self.register_theme(LIGHT)
        self.theme = LIGHT.name if self._light else DARK.name
        self.push_screen(StartScreen(lambda: self.rooms, self.shop))
        self.start(self._open_shop())
        self.set_interval(SECONDS_BETWEEN_TRIES, self.try_again)

    async def _open_shop(self) -> None:
        painted = asyncio.Event()
        self.call_after_refresh(painted.set)
        await painted.wait()
        try:
            await self.work(self._load)
        except BadInput as error:
            self.exit(None, 2, str(error))
            return
        in_memory = False
        while not self.shop.is_open:
            try:
                await self.work(partial(self.shop.open, in_memory=in_memory))
            except BadInput as error:
                choice = await self._without_store(str(error))
                if choice == "leave":
                    self.quit(2)
                    return
                in_memory = choice == "memory"
        self.refresh_top()

    def _load(self) -> None:
        """Load the rooms and the rule base. Raises `BadInput`."""
        import tui.app.rooms  # noqa: F401, PLC0415

        self.shop.load()

    async def _without_store(self, message: str) -> str | None:
        from tui.dialogs.pick_screen import PickScreen  # noqa: PLC0415

        self.drop_typed_keys()
        text = (message, "Without it the program works, but what you enter is gone at its end.")
        choices = (
            ("1", "again", "Try again"),
            ("2", "memory", "Go on and keep nothing"),
            ("3", "leave", "Leave"),
        )
        return await self.ask(PickScreen("Bikes and cases cannot be kept", choices, text))

    # -- what the rooms may ask for (see `tui.services.shell.Shell`) -----------------------------

    def start(self, flow: Coroutine[Any, Any, None]) -> None:
        """Run a flow; keys wait until it ends, but for the screens that it shows."""
        self.hold_keys()
        self.run_worker(self._run(flow), group=_FLOWS)

    async def _run(self, flow: Coroutine[Any, Any, None]) -> None:
        try:
            await flow
        except (BadInput, OSError) as error:
            self.say(self._told(error), "error", 15)
        finally:
            self.release_keys()

    def _told(self, error: Exception) -> str:
        """What a person is told of it; a guest hears of no folder of this computer."""
        told = str(error)
        if self.page is None:
            return told
        if isinstance(error, OSError):
            return error.strerror or "This computer refused."
        for folder in sorted(map(str, self._folders), key=len, reverse=True):
            told = told.replace(f"{folder}{os.sep}", "")
        return told

    async def at_rest(self) -> None:
        """Return once every key is handled, and every screen shows what it was looking up."""
        await self.settled()
        looking = [worker for worker in self.workers if worker.group != _FLOWS]
        for worker in looking:
            with suppress(WorkerCancelled):
                await worker.wait()
        if looking:
            await self.settled()

    async def ask(self, screen: Screen[Result]) -> Result | None:
        """Show a screen, which has the keys, and wait for what it returns."""
        # not `push_screen_wait`: keys may go on once the screen is on top, before it is left
        answer = self.push_screen(screen, wait_for_dismiss=True)
        self.release_keys()
        try:
            return await asyncio.shield(answer)
        finally:
            self.hold_keys()

    async def work(self, job: Callable[[], Result]) -> Result:
        """Do `job` in a thread."""
        return await asyncio.to_thread(job)

    def put(self, screen: Screen[Any]) -> None:
        """Show a screen on top of the others."""
        self.push_screen(screen)

    def swap(self, screen: Screen[Any]) -> None:
        """Show a screen in place of the one on top."""
        self.switch_screen(screen)

    @property
    def top(self) -> Screen[Any]:
        """The screen on top."""
        return self.screen

    def shows(self, kind: type[Screen[Any]]) -> bool:
        """Whether a screen of this kind is open."""
        return any(isinstance(screen, kind) for screen in self.screen_stack)

    def back_to_start(self) -> None:
        """Leave every screen but the first; a case that is kept stays kept."""
        while len(self.screen_stack) > 2:
            self.pop_screen()

    def refresh_top(self) -> None:
        """Let the screen on top show what has changed."""
        if isinstance(self.screen, CardScreen):
            self.screen.show_case()

    def say(self, text: str, severity: Severity = "information", seconds: float = 5.0) -> None:
        """Tell the person something that asks for no answer."""
        self.notify(text, severity=severity, timeout=seconds, markup=False)

    def notify(
        self,
        message: str,
        *,
        title: str = "",
        severity: Severity = "information",
        timeout: float | None = None,
        markup: bool = True,
    ) -> None:
        """Say it in the status line of the screen on top, of the one that work leads to where some
        is under way."""
        self._to_say = (message, severity, timeout or 5.0)
        if not self.is_holding:
            self.call_later(self._say_it)

    async def _say_it(self) -> None:
        if self._to_say is not None and self.screen.is_mounted:
            text, severity, seconds = self._to_say
            self._to_say = None
            await say_on(self.screen, text, severity=severity, seconds=seconds)

    def hold_keys(self) -> None:
        """Let keys wait, and say so where that takes longer than one notices."""
        super().hold_keys()
        self.set_timer(SOON, self._say_working)

    async def _say_working(self) -> None:
        if self.is_holding and self.shop.is_open and self.screen_stack and self.screen.is_mounted:
            await say_on(self.screen, WORKING, "working")
            # it may have ended while the line was put there
            if not self.is_holding:
                await self.freed()

    async def freed(self) -> None:
        """What was said while keys waited is shown where the work has led to."""
        for screen in self.screen_stack:
            await unsay(screen, "working")
        await self._say_it()

    def copy(self, text: str) -> None:
        """Hand text to the clipboard of the terminal."""
        self.copy_to_clipboard(text)

    def quit(self, status: int = 0) -> None:
        """End the program at once."""
        self.exit(return_code=status)

    async def on_key(self, event: events.Key) -> None:
        """Say so where Enter or a sign does nothing; a box keeps what it takes."""
        await unsay(self.screen, "wrong-key")
        if event.is_printable or event.key == "enter":
            active = self.screen.active_bindings.get(event.key)
            if active is None or not active.enabled:
                pressed = event.character if event.is_printable else event.key.capitalize()
                await say_wrong_key(self.screen, pressed or event.key)

    # -- keys that work everywhere ---------------------------------------------------------------

    def action_help(self) -> None:
        """Show the keys of the screen on top."""
        if not isinstance(self.screen, HelpScreen):
            self.push_screen(HelpScreen(self.screen.active_bindings))

    def action_other_theme(self) -> None:
        """Change from dark to light colours or back, and keep that for the next time."""
        self.theme = DARK.name if self.theme == LIGHT.name else LIGHT.name
        self._keep("theme", "light" if self.theme == LIGHT.name else "dark")

    def action_large(self) -> None:
        """Make targets large, or small again, and keep that for the next time."""
        self.toggle_class(LARGE)
        for screen in self.screen_stack:
            mark_screen(screen, self)
        self.refresh_top()
        self._keep("large", str(self.has_class(LARGE)).lower())

    def _keep(self, name: str, value: str) -> None:
        try:
            self._keep_setting(name, value)
        except BadInput as error:
            self.say(f"Not kept for the next time: {error}", "warning")

    # -- leaving ---------------------------------------------------------------------------------

    def try_again(self) -> None:
        """Try again to keep what could not be kept."""
        if self._rooms is not None and self.rooms.cases.not_kept.cases:
            self.start(self.rooms.cases.not_kept.try_all())

    async def action_quit(self) -> None:
        """Leave once everything said is in the store, or the person decides to leave without it."""
        if self._rooms is not None and self.rooms.cases.not_kept.cases:
            self.start(self._leave())
        else:
            self.quit()

    async def _leave(self) -> None:
        if await self.rooms.cases.not_kept.may_leave():
            self.quit()

    def _fatal_error(self) -> None:
        """End with a message in plain words; the log says where the program broke."""
        error = self._exception
        if error is None or log.isEnabledFor(logging.DEBUG):
            super()._fatal_error()
            return
        if isinstance(error, BadInput):
            self._return_code = BAD_INPUT
            self._exit_renderables.append(str(error))
            self._close_messages_no_wait()
            return
        log_breakdown(error)
        self._return_code = BROKE
        self._exit_renderables.append(broken_words(error))
        self._close_messages_no_wait()
