"""A bike whose page is open: as it was last read, and what is written down of it."""

from __future__ import annotations

from collections.abc import Callable

from diagnose.records.bikes.bike import Setting
from diagnose.records.bikes.bike_book import BikeBook
from diagnose.records.bikes.bike_file import write_bike
from diagnose.records.bikes.bike_journal import StruckEntry
from diagnose.words.answers import answer_text
from diagnose.words.bike_words import Past
from diagnose.words.titles import clock_title, setting_title
from rules.rulebase import RuleBase
from tui.bikes.bike_draft import BikeDraft, settings_of
from tui.bikes.bike_sheet import BikeSheet, read_sheet
from tui.bikes.forms import LogForm, ride_form, service_form, setting_form
from tui.dialogs.base import CardScreen
from tui.dialogs.device_files import save_file
from tui.dialogs.find_screen import FindScreen
from tui.dialogs.pick_screen import PickScreen, numbered
from tui.services.shell import Shell
from tui.services.shop import Shop
from tui.terminal.file_names import file_stem
from tui.widgets.search_list import SearchRow


class BikeRecord:
    """Logs rides, services and settings of the bike, beside what another terminal may add.

    After every change the bike is read again, and the screen on top is told to show it.
    """

    def __init__(self, shell: Shell, sheet: BikeSheet, ticks: dict[str, set[str]]) -> None:
        """`ticks` has, by bike, what has been ticked off its list since a ride was last logged."""
        self._shell, self._ticks = shell, ticks
        self.sheet = sheet
        self.name = sheet.bike.name
        """What the bike is called in the store."""

    @property
    def rules(self) -> RuleBase:
        """The rule base in use."""
        return self._shop.rules

    @property
    def ticked(self) -> set[str]:
        """The titles of the checks ticked off; add to it or take from it."""
        return self._ticks.setdefault(self.name, set())

    @property
    def _shop(self) -> Shop:
        return self._shell.shop

    @property
    def _book(self) -> BikeBook:
        return BikeBook(self._shop.store)

    async def read_again(self) -> None:
        """Inside a flow: read the bike again and show it. Raises `StoreProblem`, `NotFound`."""
        await self._change(lambda: None)
        self._show()

    async def _change(self, change: Callable[[], object]) -> None:
        shop = self._shop

        def job() -> BikeSheet:
            change()
            return read_sheet(shop.rules, shop.store, self.name, shop.today)

        self.sheet = await self._shell.work(job)

    def _show(self) -> None:
        top = self._shell.top
        if isinstance(top, CardScreen):
            top.show_case()

    # -- logging ---------------------------------------------------------------------------------

    def log_ride(self) -> None:
        """Ask for the hours of a ride, and log them."""
        self._shell.start(self._log_ride())

    async def _log_ride(self) -> None:
        if await self._log(ride_form(self.sheet.bike, self._shop.today), "the ride"):
            # what was ticked off was looked at before this ride
            self._ticks.pop(self.name, None)
            self._show()

    def pick_service(self) -> None:
        """Ask what was serviced, and log it."""
        clocks = [(s.clock, clock_title(self.rules, s.clock)) for s in self.sheet.clocks]
        if not clocks:
            self._shell.say("This kind of bike has no service clocks in the rule base.")
        else:
            self._shell.start(self._pick_service(clocks))

    async def _pick_service(self, clocks: list[tuple[str, str]]) -> None:
        clock = await self._shell.ask(PickScreen("Which service was done?", numbered(clocks)))
        if clock is not None:
            await self._log_service(clock)

    def log_service(self, clock: str) -> None:
        """Ask for the day of a service, and log it."""
        self._shell.start(self._log_service(clock))

    async def _log_service(self, clock: str) -> None:
        form = service_form(self.rules, self.sheet.bike, clock, self._shop.today)
        if await self._log(form, "the service"):
            self._show()

    def pick_setting(self) -> None:
        """Ask for a setting, then how it stands, and log that."""
        self._shell.start(self._pick_setting())

    async def _pick_setting(self) -> None:
        rules, known = self.rules, self.sheet.bike.now
        settable = settings_of(rules, BikeDraft.of(self.sheet.bike))
        rows = [
            SearchRow(name, f"{setting_title(rules, name)}{_known(rules, known.get(name))}")
            for name in sorted(settable, key=lambda name: name not in known)
        ]
        name = await self._shell.ask(FindScreen("Which setting?", rows))
        if name is not None:
            await self._log_setting(name)

    def log_setting(self, observation: str, *, ticks_off: str | None = None) -> None:
        """Ask how a setting stands, and log it; then the check titled `ticks_off` is ticked."""
        self._shell.start(self._log_setting(observation, ticks_off))

    async def _log_setting(self, observation: str, ticks_off: str | None = None) -> None:
        form = setting_form(self.rules, self.sheet.bike, observation, self._shop.today)
        if await self._log(form, "the setting"):
            if ticks_off is not None:
                self.ticked.add(ticks_off)
            self._show()

    async def _log(self, form: LogForm, said: str) -> bool:
        """Ask the form and log what it gives. Returns whether anything was logged."""
        before = self.sheet.bike.version
        entries = await self._shell.ask(form)
        if entries is None:
            return False
        book = self._book
        await self._change(lambda: book.append(self.name, entries))
        others = self.sheet.bike.version - before - len(entries)
        also = f" Another terminal has added {others}; they are shown too." if others else ""
        self._shell.say(f"Kept: {said}.{also}")
        return True

    # -- taking back -----------------------------------------------------------------------------

    def take_back_latest(self) -> None:
        """Take the entry made last back, once the person is sure."""
        latest = self.sheet.latest
        if latest is None:
            self._shell.say("Nothing to take back.")
        else:
            self.take_back(latest)

    def take_back(self, past: Past) -> None:
        """Take an entry back, once the person is sure."""
        if not past.seq:
            self._shell.say("A figure is changed with e, not taken back.")
        else:
            self._shell.start(self._take_back(past))

    async def _take_back(self, past: Past) -> None:
        choices = (("y", "yes", "Yes, it was a mistake"), ("n", "no", "No, leave it"))
        title = f"Take back? {past.on.isoformat()}  {past.what}"
        if await self._shell.ask(PickScreen(title, choices)) != "yes":
            return
        book = self._book
        await self._change(lambda: book.append(self.name, [StruckEntry(seq=past.seq)]))
        self._shell.say("Taken back; the journal keeps that it was there.")
        self._show()

    # -- the bike as a whole ---------------------------------------------------------------------

    def archive(self) -> None:
        """Put the bike away, or bring it back; nothing of it is deleted."""
        self._shell.start(self._archive(away=not self.sheet.bike.archived))

    async def _archive(self, *, away: bool) -> None:
        book = self._book
        await self._change(lambda: book.archive(self.name, away))
        self._shell.say("Archived; x brings it back." if away else "It is back.")
        self._show()

    def export(self) -> None:
        """Ask for a file, and write the bike to it as YAML."""
        book = self._book

        async def save() -> None:
            await save_file(
                self._shell,
                "Write the bike to",
                f"{file_stem(self.name)}.yaml",
                lambda name: write_bike(book.read(self.name)).encode(),
            )

        self._shell.start(save())


def _known(rules: RuleBase, setting: Setting | None) -> str:
    return "" if setting is None else f": {answer_text(rules, setting.answer)}"
