"""What to look at before a ride: tick it off, note a reading, read how it is done."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.widgets import OptionList, Static

from diagnose.records.bikes.before_ride import Check
from diagnose.words.settings import OnRecord, on_record
from diagnose.words.sources import source_text
from diagnose.words.step_words import caution_texts
from diagnose.words.titles import clock_title, lowered, setting_title
from diagnose.words.who_words import needs_text
from rules.rulebase import RuleBase
from tui.bikes.bike_record import BikeRecord
from tui.bikes.bike_rows import check_rows
from tui.dialogs.base import CardScreen
from tui.dialogs.read_screen import ReadScreen
from tui.widgets.action_pad import ActionPad, Does
from tui.widgets.hanging_text import HangingText
from tui.widgets.key_footer import KeyFooter
from tui.widgets.keyed import keyed
from tui.widgets.row_list import RowList
from tui.widgets.text_lines import put_line

_PAD = (
    Does("Space", "Tick it off", "tick"),
    Does("r", "Note the reading", "note"),
    Does("w", "How it is done", "how"),
)


class BikeChecksScreen(CardScreen[None]):
    """Ticks last until a ride is logged or the program ends; a reading noted is kept."""

    CSS_PATH = "bike_checks.tcss"
    AUTO_FOCUS: ClassVar[str | None] = "#checks"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("space", "tick", "Tick", tooltip="Tick the line marked, or untick it",
                key_display="Space", id="checks.tick"),
        keyed("r", "note", "Note the reading; it is kept", id="checks.note"),
        keyed("w", "how", "How it is done, cautions, sources", "How", id="checks.how"),
    ]  # fmt: skip

    def __init__(self, record: BikeRecord) -> None:
        super().__init__()
        self._record = record

    def compose(self) -> ComposeResult:
        """Title, what has run out, the list, what to heed at the line marked, buttons."""
        yield Static("", id="title", markup=False)
        yield Static("", id="services", markup=False)
        yield RowList(id="checks")
        yield HangingText(id="cautions")
        yield ActionPad(_PAD, columns=3)
        yield KeyFooter()

    def on_resize(self) -> None:
        """Fit the rows to another width."""
        self.call_after_refresh(self.show_case)

    def on_screen_resume(self) -> None:
        """The bike may have changed while another screen was on top."""
        self.show_case()

    @property
    def _checks(self) -> tuple[Check, ...]:
        return self._record.sheet.checks

    @property
    def _marked(self) -> Check | None:
        at = self.query_one(RowList).highlighted
        return self._checks[at] if at is not None and self._checks else None

    # -- showing ---------------------------------------------------------------------------------

    def show_case(self) -> None:
        """Show the list of the bike as it was last read."""
        sheet, rules = self._record.sheet, self._record.rules
        done = [check.title in self._record.ticked for check in sheet.checks]
        open_ = sum(check.due and not tick for check, tick in zip(sheet.checks, done, strict=True))
        title = f"{sheet.bike.name} before a ride: {open_} of {len(done)} still to look at"
        self.query_one("#title", Static).update(title)
        run_out = [lowered(clock_title(rules, state.clock)) for state in sheet.overdue]
        services = f"SERVICE DUE: {'; '.join(run_out)}" if run_out else ""
        put_line(self.query_one("#services", Static), services)
        rows = self.query_one(RowList)
        marked = rows.highlighted or 0
        width = (rows.scrollable_content_region.width or rows.size.width) - 1
        noted = [self._noted(check) for check in sheet.checks]
        rows.show_rows(
            check_rows(sheet.checks, done, noted, width),
            "" if sheet.checks else "This rule base has no list for before a ride.",
        )
        rows.highlighted = min(marked, len(done) - 1) if done else None
        self._show_cautions()

    def _show_cautions(self) -> None:
        check = self._marked
        told = []
        if check is not None:
            noted = self._noted(check)
            told += [f"OFF: {noted.words}."] if noted is not None and noted.is_off else []
            cautions = caution_texts(self._record.rules, check.cautions)
            told += [f"CAUTION: {text}" for text in cautions]
        lines = self.query_one("#cautions", HangingText)
        lines.show(told)
        lines.display = bool(told)

    def _noted(self, check: Check) -> OnRecord | None:
        """What was noted of a line, unless it was ticked off since."""
        record = self._record
        if check.note is None:
            return None
        noted = on_record(record.rules, record.sheet.bike, check.note)
        if noted is None or (check.title in record.ticked and noted.on != record.sheet.today):
            return None
        return noted

    def spoken_actions(self) -> Iterator[tuple[str, str]]:
        """Tick any line by its title."""
        for number, check in enumerate(self._checks):
            yield f"Tick: {check.title}", f"tick_at({number})"

    # -- keys ------------------------------------------------------------------------------------

    def on_option_list_option_highlighted(self) -> None:
        """Another line is marked."""
        self._show_cautions()

    def on_option_list_option_selected(self, message: OptionList.OptionSelected) -> None:
        """Enter or a touch on a line."""
        self.action_tick_at(message.option_index)

    def action_tick(self) -> None:
        """Tick the line marked, or untick it."""
        at = self.query_one(RowList).highlighted
        if at is not None:
            self.action_tick_at(at)

    def action_tick_at(self, number: int) -> None:
        """Tick a line, or untick it."""
        if number < len(self._checks):
            self._record.ticked.symmetric_difference_update([self._checks[number].title])
            self.show_case()

    def action_note(self) -> None:
        """Note the reading of the line marked, which ticks it off too."""
        check = self._marked
        if check is None:
            return
        if check.note is None:
            self.notify("There is nothing to measure here; Space ticks it off.")
            return
        self._record.log_setting(check.note, ticks_off=check.title)

    def action_how(self) -> None:
        """Show how the line marked is done, its cautions, and where the list comes from."""
        check = self._marked
        if check is not None:
            lines = how_lines(self._record.rules, check)
            self.app.push_screen(ReadScreen(check.title, list(lines)))


def how_lines(rules: RuleBase, check: Check) -> Iterator[str]:
    """Cautions, then how it is measured or put right, then the sources."""
    for text in caution_texts(rules, check.cautions):
        yield f"CAUTION: {text}"
    yield f"When: {check.why}" + (f"; last {check.last}" if check.last else "")
    sources = [
        name
        for item in rules.before_ride.values()
        if item.title == check.title
        for name in item.source
    ]
    if check.note in rules.observations:
        entry = rules.observations[check.note or ""]
        yield f"Measure: {setting_title(rules, check.note or '')}"
        yield from (f"{number}. {line}" for number, line in enumerate(entry.how, 1))
        sources += entry.source
    if check.correction in rules.corrections:
        fix = rules.corrections[check.correction or ""]
        yield fix.title
        yield from (f"{number}. {line}" for number, line in enumerate(fix.steps, 1))
        yield f"Needs: {needs_text(fix)}. What can go wrong: {fix.goes_wrong}"
        sources += fix.source
    yield from (f"Source: {source_text(rules, name)}" for name in dict.fromkeys(sources))
