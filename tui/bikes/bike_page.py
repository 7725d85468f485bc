"""One bike: its settings beside the baseline, what is due, its history and its cases."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from functools import partial
from typing import ClassVar, Protocol

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Grid, Horizontal, Vertical
from textual.widgets import Static

from diagnose.words.bike_words import bike_line, hours_text
from diagnose.words.titles import setting_title
from tui.bikes.bike_draft import BikeDraft, settings_of
from tui.bikes.bike_record import BikeRecord
from tui.bikes.bike_rows import cases_table, due_table, past_table, settings_table
from tui.bikes.bike_sheet import BikeSheet
from tui.dialogs.base import CardScreen
from tui.widgets.action_pad import ActionPad, Does
from tui.widgets.key_button import KeyButton
from tui.widgets.key_footer import KeyFooter
from tui.widgets.keyed import keyed
from tui.widgets.table_panel import PanelTable, TablePanel

_PANELS = ("settings", "due", "past", "cases")
_PAD = (
    Does("g", "Begin a case", "begin"),
    Does("b", "Pick", "pick"),
    Does("a", "Add ride", "ride"),
    Does("f", "Service", "service"),
    Does("r", "Setting", "setting"),
    Does("s", "Pre-ride", "checks"),
    Does("e", "Edit", "edit"),
    Does("u", "Undo", "take_back"),
    Does("z", "Put away", "archive"),
    Does("o", "To a file", "export"),
    Does("k", "Year", "season"),
)


class PageLeads(Protocol):
    """Where the page of a bike leads."""

    def take(self, name: str, *, begin: bool) -> None:
        """Make this the bike of the next case; with `begin` begin that now."""

    def check(self, record: BikeRecord) -> None:
        """Show what is to be looked at before a ride."""

    def change(self, record: BikeRecord) -> None:
        """Change kind, figures and baseline."""

    def season(self, record: BikeRecord) -> None:
        """Show the year of the bike as charts."""

    def look_at_case(self, number: int) -> None:
        """Show the card of a case."""


class BikePage(CardScreen[None]):
    """Shows a bike in four tables: one at a time, or all where there is room."""

    CSS_PATH = "bike_page.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "go", "Go on", tooltip="Go on from the row marked", id="page.go"),
        keyed("g", "begin", "Begin a case on this bike", "Begin", show=False),
        keyed("b", "pick", "The next case is on this bike", "Pick", show=False),
        keyed("a", "ride", "Log a ride's hours", "Add ride", show=False),
        keyed("f", "service", "Log a service", "Service", show=False),
        keyed("r", "setting", "Log a change of a setting", "Setting", show=False),
        keyed("s", "checks", "What to look at before a ride", "Pre-ride", show=False),
        keyed("e", "edit", "Kind, figures and baseline", "Edit", show=False),
        keyed("u", "take_back", "Take the last entry back", id="page.undo"),
        keyed("z", "archive", "Put it away, or bring it back", "Put away", show=False),
        keyed("o", "export", "Write it to a YAML file", "To a file", show=False),
        keyed("k", "season", "Hours and readings over the year", "Year", show=False),
        *(
            Binding(str(n), f"panel({name!r})", name.capitalize(), show=False,
                    tooltip=f"To the table: {name}")
            for n, name in enumerate(_PANELS, 1)
        ),
    ]  # fmt: skip

    def __init__(self, record: BikeRecord, leads: PageLeads) -> None:
        super().__init__()
        self._record, self._leads = record, leads
        self._panel = _PANELS[0]

    def compose(self) -> ComposeResult:
        """Head, tabs, tables, the row marked in full, buttons."""
        with Vertical(id="head"):
            for part in ("name", "kind", "hours", "due-line"):
                yield Static("", id=part, markup=False)
        with Horizontal(id="tabs"):
            for number in range(1, len(_PANELS) + 1):
                tab = KeyButton(str(number), "")
                tab.can_focus = False
                yield tab
        with Grid(id="panels"):
            for name in _PANELS:
                yield TablePanel(id=name)
        yield Static("", id="detail", markup=False)
        yield ActionPad(_PAD, columns=4)
        yield KeyFooter()

    def on_mount(self) -> None:
        """Give the keys to the first table."""
        self._show_panel(self._panel)

    def on_screen_resume(self) -> None:
        """The bike may have changed while another screen was on top."""
        self.show_case()

    # -- showing ---------------------------------------------------------------------------------

    def show_case(self) -> None:
        """Show the bike as it was last read."""
        sheet, rules = self._record.sheet, self._record.rules
        bike = sheet.bike
        archived = " (put away; z brings it back)" if bike.archived else ""
        self._put("name", bike.name + archived)
        used = f"; {bike.use}" if bike.use else ""
        self._put("kind", bike_line(rules, bike.machine) + used)
        self._put("hours", f"Hours: {hours_text(bike, sheet.today)}")
        self._put("due-line", _due_line(sheet))
        draws: dict[str, Callable[[int], PanelTable]] = {
            "settings": partial(settings_table, rules, sheet),
            "due": partial(due_table, rules, sheet),
            "past": partial(past_table, sheet),
            "cases": partial(cases_table, sheet),
        }
        for name, draw in draws.items():
            self.query_one(f"#{name}", TablePanel).show(draw)
        labels = (
            f"Settings{_count(sheet.moved)}",
            f"Due{_count(sheet.overdue)}",
            f"History{_count(sheet.past)}",
            f"Cases{_count(sheet.cases)}",
        )
        for number, (button, label) in enumerate(
            zip(self.query("#tabs KeyButton").results(KeyButton), labels, strict=True), 1
        ):
            button.show(str(number), label)
        self.query_one(ActionPad).relabel("x", "Restore" if bike.archived else "Archive")
        self._put("detail", self.query_one(f"#{self._panel}", TablePanel).detail)

    def _put(self, part: str, text: str) -> None:
        self.query_one(f"#{part}", Static).update(text)

    def _show_panel(self, name: str) -> None:
        self._panel = name
        for number, panel in enumerate(_PANELS):
            self.query_one(f"#{panel}").set_class(panel == name, "-shown")
            self.query("#tabs KeyButton")[number].set_class(panel == name, "-on")
        self.query_one(f"#{name}", TablePanel).take_keys()

    def spoken_actions(self) -> Iterator[tuple[str, str]]:
        """Note any setting by its title."""
        rules = self._record.rules
        for name in settings_of(rules, BikeDraft.of(self._record.sheet.bike)):
            yield f"Note: {setting_title(rules, name)}", f"note({name!r})"

    def on_table_panel_marked(self, message: TablePanel.Marked) -> None:
        """Show in full what the row marked says."""
        if message.panel == self._panel:
            self._put("detail", message.detail)
        elif self.query_one(f"#{message.panel}", TablePanel).has_focus_within:
            self._show_panel(message.panel)
            self._put("detail", message.detail)

    def on_key_button_pressed(self, message: KeyButton.Pressed) -> None:
        """A tab was touched."""
        self.action_panel(_PANELS[int(message.key) - 1])

    def action_panel(self, name: str) -> None:
        """Go to a table."""
        self._show_panel(name)
        self._put("detail", self.query_one(f"#{name}", TablePanel).detail)

    # -- going on from a row ---------------------------------------------------------------------

    def on_table_panel_chosen(self, message: TablePanel.Chosen) -> None:
        """Enter or a touch on a row."""
        self._go(message.panel, message.row)

    def action_go(self) -> None:
        """Go on from the row marked."""
        row = self.query_one(f"#{self._panel}", TablePanel).marked
        if row is not None:
            self._go(self._panel, row)

    def _go(self, panel: str, row: int) -> None:
        sheet = self._record.sheet
        if panel == "settings":
            self._record.log_setting(sheet.differences[row].observation)
        elif panel == "due":
            self._record.log_service(sheet.clocks[row].clock)
        elif panel == "past":
            self._record.take_back(sheet.past[row])
        else:
            self._leads.look_at_case(sheet.cases[row].id)

    # -- the bike as a whole ---------------------------------------------------------------------

    def action_ride(self) -> None:
        """Log a ride's hours."""
        self._record.log_ride()

    def action_service(self) -> None:
        """Pick what was serviced, and log it."""
        self._record.pick_service()

    def action_setting(self) -> None:
        """Pick a setting, and log how it stands."""
        self._record.pick_setting()

    def action_note(self, observation: str) -> None:
        """Log how a setting stands."""
        self._record.log_setting(observation)

    def action_take_back(self) -> None:
        """Take the last entry back."""
        self._record.take_back_latest()

    def action_pick(self) -> None:
        """Make this the bike of the next case."""
        self._leads.take(self._record.name, begin=False)

    def action_begin(self) -> None:
        """Begin a case on this bike."""
        self._leads.take(self._record.name, begin=True)

    def action_checks(self) -> None:
        """Show what is to be looked at before a ride."""
        self._leads.check(self._record)

    def action_season(self) -> None:
        """Show the year of the bike as charts."""
        self._leads.season(self._record)

    def action_edit(self) -> None:
        """Change kind, figures and baseline."""
        self._leads.change(self._record)

    def action_archive(self) -> None:
        """Put the bike away, or bring it back."""
        self._record.archive()

    def action_export(self) -> None:
        """Write the bike to a YAML file."""
        self._record.export()


def _count(items: Sequence[object]) -> str:
    return f" ({len(items)})" if items else ""


def _due_line(sheet: BikeSheet) -> str:
    if sheet.overdue:
        return f"DUE NOW: {len(sheet.overdue)} of {len(sheet.clocks)} services have run out (2)."
    dated = [state for state in sheet.clocks if state.due_on is not None]
    if not dated:
        return "No service on record yet; f logs one."
    return f"Next service about {min(s.due_on for s in dated if s.due_on).isoformat()} (2)."
