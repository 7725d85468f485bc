"""The top of the card: complaint, machine, and what forbids riding."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.widgets import Static

from rules.rulebase import RuleBase
from tui.bench import Bench
from tui.telling import bike_line, complaints_line


class CaseHead(Vertical):
    """Two lines, and a third that stays as long as the bike must not be ridden."""

    DEFAULT_CSS = """
    CaseHead { height: auto; background: $panel; padding: 0 1; }
    CaseHead > Static { width: 1fr; height: 1; text-wrap: nowrap; text-overflow: ellipsis; }
    CaseHead > .complaint { text-style: bold; }
    CaseHead > .bike { color: $text-muted; }
    CaseHead > .stop { background: $error; color: $background; text-style: bold; }
    """

    def compose(self) -> ComposeResult:
        """Complaint, bike, stop."""
        yield Static(markup=False, classes="complaint")
        yield Static(markup=False, classes="bike")
        yield Static(markup=False, classes="stop")

    def show(self, rules: RuleBase, bench: Bench) -> None:
        """Show the case on the bench."""
        self._put("complaint", complaints_line(rules, bench.case))
        self._put("bike", f"Bike: {bike_line(rules, bench.case, bench.bike)}")
        stop = self.query_one(".stop", Static)
        reasons = bench.reasons_not_to_ride()
        stop.update("DO NOT RIDE: " + " ".join(reasons))
        stop.display = bool(reasons)

    def _put(self, part: str, text: str) -> None:
        self.query_one(f".{part}", Static).update(text)
