"""The top of every screen of a case: complaint, bike, and what forbids riding."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.widgets import Static

from diagnose.words.bike_words import bike_line
from diagnose.words.event_words import complaints_line
from tui.interview.case_at_work import CaseAtWork
from tui.widgets.text_lines import put_line


class CaseHead(Vertical):
    """What forbids riding, where anything does; two lines; another while something is not kept."""

    DEFAULT_CSS = """
    CaseHead { height: auto; background: $panel; padding: 0 1; }
    CaseHead > Static { width: 1fr; height: 1; text-wrap: nowrap; text-overflow: ellipsis; }
    CaseHead > .complaint { text-style: bold; }
    CaseHead > .bike { color: $text-muted; }
    CaseHead > .unkept { background: $warning; color: $background; text-style: bold; }
    CaseHead > .stop { background: $error; color: $background; text-style: bold; }
    """

    def compose(self) -> ComposeResult:
        """Stop, complaint, bike, what is not kept."""
        yield Static(markup=False, classes="stop")
        yield Static(markup=False, classes="complaint")
        yield Static(markup=False, classes="bike")
        yield Static(markup=False, classes="unkept")

    def show(self, case: CaseAtWork) -> None:
        """Show the complaint, the bike and the warnings of a case."""
        rules = case.rules
        self._put("complaint", complaints_line(rules, case.case))
        number = f"Case {case.kept.id}. " if case.kept is not None else ""
        self._put("bike", f"{number}Bike: {bike_line(rules, case.case, case.bike)}")
        waiting = f"NOT KEPT YET ({case.diagnosis.waiting}): {case.problem}"
        self._put("unkept", waiting if case.problem else "")
        reasons = " ".join(case.reasons_not_to_ride())
        self._put("stop", f"DO NOT RIDE: {reasons}" if reasons else "")

    def _put(self, part: str, text: str) -> None:
        put_line(self.query_one(f".{part}", Static), text)
