"""What is written down of a bike: rides, services, settings, and taking one of them back."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial

from diagnose.records.bikes.bike import Setting
from diagnose.records.bikes.bike_book import BikeBook
from diagnose.records.bikes.bike_journal import BikeEntry, StruckEntry
from diagnose.words.answers import answer_text
from diagnose.words.bikes import Past
from diagnose.words.titles import setting_title
from rules.rulebase import RuleBase
from tui.bikes.bike_sheet import BikeSheet, read_sheet
from tui.bikes.draft import Draft, settings_of
from tui.bikes.forms import LogForm, ride_form, service_form, setting_form
from tui.dialogs.base import CardScreen
from tui.dialogs.find import FindScreen
from tui.dialogs.pick import PickScreen, numbered
from tui.widgets.search_list import Row


class BikeLogging(CardScreen[None]):
    """A screen about one bike that can be added to. What is added goes on top of whatever another
    terminal has added meanwhile, and is shown together with it."""

    def __init__(self, name: str) -> None:
        super().__init__()
        self._bike = name
        self._sheet: BikeSheet | None = None

    @property
    def sheet(self) -> BikeSheet:
        """The bike as last read. It is there by the time any key is handled."""
        assert self._sheet is not None
        return self._sheet

    def show_sheet(self, sheet: BikeSheet) -> None:
        """Show the bike as it now stands."""
        raise NotImplementedError

    def in_store(self, change: Callable[[], object], then: Callable[[BikeSheet], None]) -> None:
        """Do `change` in a worker, read the bike again, and hand it to `then`."""
        app = self.card_app

        def job() -> BikeSheet:
            change()
            return read_sheet(app.rules, app.kept, self._bike, app.today)

        app.in_background(job, then)

    # -- logging ---------------------------------------------------------------------------------

    def _log(self, form: LogForm, said: str, after: Callable[[], None] = lambda: None) -> None:
        bike = self.sheet.bike
        book = BikeBook(self.card_app.kept)

        def filled(entries: Sequence[BikeEntry] | None) -> None:
            if entries is not None:
                self.in_store(
                    lambda: book.append(self._bike, entries), partial(logged, len(entries))
                )

        def logged(count: int, sheet: BikeSheet) -> None:
            others = sheet.bike.version - bike.version - count
            also = f" Another terminal has added {others}; they are shown too." if others else ""
            self.notify(f"Kept: {said}.{also}", markup=False)
            after()
            self.show_sheet(sheet)

        self.app.push_screen(form, filled)

    def action_ride(self) -> None:
        """Log a ride's hours."""
        form = ride_form(self.sheet.bike, self.card_app.today)
        # what was ticked off was looked at before this ride
        self._log(form, "the ride", lambda: self.card_app.forget_ticks(self._bike))

    def action_service(self) -> None:
        """Pick what was serviced, and log it."""
        rules = self.card_app.rules
        clocks = [(s.clock, setting_title(rules, s.clock)) for s in self.sheet.clocks]
        if not clocks:
            self.notify("This kind of bike has no service clocks in the rule base.")
            return

        def picked(clock: str | None) -> None:
            if clock is not None:
                self.log_service(clock)

        screen = PickScreen("Which service was done?", numbered(clocks))
        self.app.push_screen(screen, picked)

    def log_service(self, clock: str) -> None:
        """Log a service of one clock."""
        form = service_form(self.card_app.rules, self.sheet.bike, clock, self.card_app.today)
        self._log(form, "the service")

    def action_setting(self) -> None:
        """Pick a setting, and log how it stands."""
        rules, draft = self.card_app.rules, Draft.of(self.sheet.bike)
        known = self.sheet.bike.now
        names = sorted(settings_of(rules, draft), key=lambda name: name not in known)
        rows = [
            Row(name, f"{setting_title(rules, name)}{_known(rules, known.get(name))}")
            for name in names
        ]

        def picked(name: str | None) -> None:
            if name is not None:
                self.log_setting(name)

        self.app.push_screen(FindScreen("Which setting?", rows), picked)

    def log_setting(self, observation: str, after: Callable[[], None] = lambda: None) -> None:
        """Log how a setting stands."""
        app = self.card_app
        self._log(
            setting_form(app.rules, self.sheet.bike, observation, app.today), "the setting", after
        )

    # -- taking back -----------------------------------------------------------------------------

    def action_take_back(self) -> None:
        """Take the last entry back."""
        latest = self.sheet.latest
        if latest is None:
            self.notify("Nothing to take back.")
        else:
            self.strike(latest)

    def strike(self, past: Past) -> None:
        """Take an entry back, once the person is sure."""
        if not past.seq:
            self.notify("A figure is changed with e, not taken back.")
            return
        book = BikeBook(self.card_app.kept)

        def strike() -> None:
            book.append(self._bike, [StruckEntry(seq=past.seq)])

        def struck(sheet: BikeSheet) -> None:
            self.notify("Taken back; the journal keeps that it was there.")
            self.show_sheet(sheet)

        def sure(choice: str | None) -> None:
            if choice == "yes":
                self.in_store(strike, struck)

        choices = (("y", "yes", "Yes, it was a mistake"), ("n", "no", "No, leave it"))
        title = f"Take back? {past.on.isoformat()}  {past.what}"
        self.app.push_screen(PickScreen(title, choices), sure)


def _known(rules: RuleBase, setting: Setting | None) -> str:
    return "" if setting is None else f": {answer_text(rules, setting.answer)}"
