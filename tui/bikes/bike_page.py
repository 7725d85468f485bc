"""One bike: its settings against the baseline, what is due, what has been, and its cases."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from functools import partial
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Grid, Horizontal, Vertical
from textual.widgets import Footer, Static

from diagnose.records.bikes.bike_book import BikeBook
from diagnose.records.bikes.bike_file import write_bike
from diagnose.records.store.file_writing import write_text
from diagnose.words.bikes import bike_line, hours_text
from diagnose.words.titles import setting_title
from tui.bikes.bike_checks import BikeChecksScreen
from tui.bikes.bike_form import BikeScreen
from tui.bikes.bike_logging import BikeLogging
from tui.bikes.bike_sheet import BikeSheet
from tui.bikes.draft import Draft, settings_of
from tui.bikes.rows import Table, cases_table, due_table, past_table, settings_table
from tui.terminal.file_names import file_stem
from tui.widgets.action_pad import ActionPad, Does
from tui.widgets.key_button import KeyButton
from tui.widgets.table_panel import TablePanel

_PANELS = ("settings", "due", "past", "cases")
_PAD = (
    Does("n", "New case", "begin"),
    Does("p", "Pick", "pick"),
    Does("r", "Ride", "ride"),
    Does("s", "Service", "service"),
    Does("c", "Setting", "setting"),
    Does("l", "Pre-ride", "checks"),
    Does("e", "Edit", "edit"),
    Does("u", "Undo", "take_back"),
    Does("x", "Archive", "archive"),
    Does("f", "File", "export"),
)


class BikePage(BikeLogging):
    """What is written down here is read again together with what another terminal has added."""

    CSS_PATH = "bike_page.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "go", "Go on", tooltip="Go on from the row marked", id="page.go"),
        Binding("n", "begin", "New case", tooltip="Begin a case on this bike", show=False),
        Binding("p", "pick", "Pick", tooltip="The next case is on this bike", show=False),
        Binding("r", "ride", "Ride", tooltip="Log a ride's hours", show=False),
        Binding("s", "service", "Service", tooltip="Log a service", show=False),
        Binding("c", "setting", "Setting", tooltip="Log a change of a setting", show=False),
        Binding("l", "checks", "Pre-ride", tooltip="What to look at before a ride", show=False),
        Binding("e", "edit", "Edit", tooltip="Kind, figures and baseline", show=False),
        Binding(
            "u", "take_back", "Undo", tooltip="Take the last entry back", id="page.undo"
        ),
        Binding("x", "archive", "Archive", tooltip="Put it away, or bring it back", show=False),
        Binding("f", "export", "To a file", tooltip="Write it to a YAML file", show=False),
        *(
            Binding(str(n), f"panel({name!r})", name.capitalize(), show=False,
                    tooltip=f"To the table: {name}")
            for n, name in enumerate(_PANELS, 1)
        ),
    ]  # fmt: skip

    def __init__(self, name: str) -> None:
        super().__init__(name)
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
        yield ActionPad(_PAD, columns=5)
        yield Footer(show_command_palette=False)

    def on_mount(self) -> None:
        """Read the bike."""
        self._show_panel(self._panel)
        self._read()

    def show_case(self) -> None:
        """Targets may have become large."""
        if self._sheet is not None:
            self.show_sheet(self._sheet)

    # -- showing ---------------------------------------------------------------------------------

    def _read(self) -> None:
        self.in_store(lambda: None, self.show_sheet)

    def show_sheet(self, sheet: BikeSheet) -> None:
        """Show the bike as it now stands."""
        self._sheet, bike, rules = sheet, sheet.bike, self.card_app.rules
        archived = " (archived; x brings it back)" if bike.archived else ""
        self._put("name", bike.name + archived)
        used = f"; {bike.use}" if bike.use else ""
        self._put("kind", bike_line(rules, bike.machine) + used)
        self._put("hours", f"Hours: {hours_text(bike, sheet.today)}")
        self._put("due-line", _due_line(sheet))
        draws: dict[str, Callable[[int], Table]] = {
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
        """Every setting that can be noted."""
        for name in settings_of(self.card_app.rules, Draft.of(self.sheet.bike)):
            yield f"Note: {setting_title(self.card_app.rules, name)}", f"note({name!r})"

    def on_table_panel_marked(self, message: TablePanel.Marked) -> None:
        """Say all of the row marked."""
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
        sheet = self.sheet
        if panel == "settings":
            self.log_setting(sheet.differences[row].observation)
        elif panel == "due":
            self.log_service(sheet.clocks[row].clock)
        elif panel == "past":
            self.strike(sheet.past[row])
        else:
            self.card_app.look_at_kept(sheet.cases[row].id)

    # -- the bike as a whole ---------------------------------------------------------------------

    def action_note(self, observation: str) -> None:
        """Log how a setting stands."""
        self.log_setting(observation)

    def action_pick(self) -> None:
        """The next case is on this bike."""
        self.card_app.take_bike(self.sheet.bike, begin=False)

    def action_begin(self) -> None:
        """Begin a case on this bike."""
        self.card_app.take_bike(self.sheet.bike, begin=True)

    def action_checks(self) -> None:
        """The list before a ride."""
        self.app.push_screen(BikeChecksScreen(self._bike), lambda _: self._read())

    def action_edit(self) -> None:
        """Change kind, figures and baseline."""

        def edited(draft: Draft | None) -> None:
            if draft is not None:
                self._bike = draft.name
                self.notify("Kept.")
            self._read()

        screen = BikeScreen(self.card_app.rules, Draft.of(self.sheet.bike), self.card_app.today)
        self.app.push_screen(screen, edited)

    def action_archive(self) -> None:
        """Put the bike away, or bring it back; nothing of it is deleted."""
        book, away = BikeBook(self.card_app.kept), not self.sheet.bike.archived

        def done(sheet: BikeSheet) -> None:
            self.notify("Archived; x brings it back." if away else "It is back.")
            self.show_sheet(sheet)

        self.in_store(lambda: book.archive(self._bike, away), done)

    def action_export(self) -> None:
        """Write the bike to a YAML file."""
        name = f"{file_stem(self._bike)}.yaml"
        book = BikeBook(self.card_app.kept)
        self.card_app.ask_file(
            "Write the bike to",
            name,
            lambda path: write_text(path, write_bike(book.read(self._bike))),
        )


def _count(items: Sequence[object]) -> str:
    return f" ({len(items)})" if items else ""


def _due_line(sheet: BikeSheet) -> str:
    if sheet.overdue:
        return f"DUE NOW: {len(sheet.overdue)} of {len(sheet.clocks)} services have run out (2)."
    dated = [state for state in sheet.clocks if state.due_on is not None]
    if not dated:
        return "No service on record yet; s logs one."
    return f"Next service about {min(s.due_on for s in dated if s.due_on).isoformat()} (2)."
