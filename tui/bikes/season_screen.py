"""A bike's season: one figure at a time as a chart, its services and cases marked."""

from __future__ import annotations

from typing import ClassVar

import uniplot  # noqa: F401  # the chart needs it; loaded with this module, off the screen's thread
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widgets import Static

from diagnose.records.cases.season import Season
from rules.rulebase import RuleBase
from tui.bikes.season_lines import LEGEND, mark_text, season_chart, season_head
from tui.dialogs.base import CardScreen, glyphs_of
from tui.terminal.glyphs import UNICODE
from tui.widgets.action_pad import ActionPad, Does
from tui.widgets.key_footer import KeyFooter
from tui.widgets.text_lines import scroll_page

_FRAME_LINES = 4
_FEWEST_LINES = 3
_WIDEST = 120


class SeasonScreen(CardScreen[None]):
    """Left and right go from figure to figure."""

    CSS_PATH = "season_screen.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("right", "turn(1)", "Next figure", key_display="→", id="season.next"),
        Binding("left", "turn(-1)", "Figure before", key_display="←", id="season.before"),
        Binding("down,pagedown", "scroll(1)", "Further down", show=False),
        Binding("up,pageup", "scroll(-1)", "Further up", show=False),
    ]

    def __init__(self, rules: RuleBase, name: str, season: Season) -> None:
        super().__init__()
        self._rules, self._name, self._season = rules, name, season
        self._at = 0

    def compose(self) -> ComposeResult:
        """Title, chart, what the marks are, buttons."""
        yield Static("", id="title", markup=False)
        yield Static("", id="chart", markup=False)
        with VerticalScroll(id="marks", can_focus=False):
            yield Static(self._marks(), markup=False)
        yield ActionPad(
            (Does("←", "Figure before", "turn(-1)"), Does("→", "Next figure", "turn(1)")), columns=2
        )
        yield KeyFooter()

    def _marks(self) -> str:
        told = [mark_text(self._rules, mark) for mark in reversed(self._season.marks)]
        return "\n".join([f"Under the chart: {LEGEND}.", *told])

    def on_mount(self) -> None:
        """Draw once the size is known."""
        self.call_after_refresh(self._draw)

    def on_resize(self) -> None:
        """Draw again for another size."""
        self.call_after_refresh(self._draw)

    def action_turn(self, by: int) -> None:
        """Go to another figure."""
        if self._season.lines:
            self._at = (self._at + by) % len(self._season.lines)
            self._draw()

    def action_scroll(self, by: int) -> None:
        """Scroll what the marks are."""
        scroll_page(self.query_one("#marks"), by)

    def _draw(self) -> None:
        season = self._season
        title, chart = self.query_one("#title", Static), self.query_one("#chart", Static)
        span = f"{season.first.isoformat()} to {season.last.isoformat()}"
        if not season.lines:
            title.update(f"{self._name}, {span}")
            chart.update("Nothing is on record yet; a on the bike logs a ride, r a setting.")
            return
        line = season.lines[self._at]
        title.update(
            f"{self._name}, {span}; {self._at + 1} of {len(season.lines)}\n"
            f"{season_head(self._rules, line)}"
        )
        height = chart.size.height - _FRAME_LINES
        if height < _FEWEST_LINES:
            chart.update("")
            return
        fine = glyphs_of(self.app) is UNICODE
        drawn = season_chart(
            season, line, fancy=fine, fine=fine, height=height, width=min(chart.size.width, _WIDEST)
        )
        chart.update("\n".join(drawn))
