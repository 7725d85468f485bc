"""The top of every screen of a case: complaint, bike, and what forbids riding."""

from __future__ import annotations

from collections.abc import Sequence

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.widgets import Static

from diagnose.words.bike_words import bike_line
from diagnose.words.chances import counted
from diagnose.words.event_words import complaints_line
from tui.interview.case_at_work import CaseAtWork
from tui.terminal.text import broken
from tui.widgets.text_lines import put_line

_MOST_LINES = 3


class CaseHead(Vertical):
    """What forbids riding, where anything does; complaint and bike; what is not kept. Whole, on as
    many lines as they need up to two, three for what forbids riding."""

    DEFAULT_CSS = """
    CaseHead { height: auto; background: $panel; padding: 0 1; }
    CaseHead > Static { width: 1fr; height: auto; max-height: 2; }
    CaseHead > .complaint { text-style: bold; }
    CaseHead > .bike { color: $text-muted; }
    CaseHead > .unkept { background: $warning; color: $background; text-style: bold; }
    CaseHead > .stop { background: $error; color: $background; text-style: bold; max-height: 3; }
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
        self._put("stop", self._stop(case.reasons_not_to_ride()))

    def _stop(self, reasons: Sequence[str]) -> str:
        """Every reason not to ride that fits its lines, whole, and how many there are besides."""
        width = max(20, self.app.size.width - 2)
        text = ""
        for count in range(len(reasons), 0, -1):
            left = len(reasons) - count
            more = f" {counted(left, 'more reason')} on the job card." if left else ""
            text = f"DO NOT RIDE: {' '.join(reasons[:count])}{more}"
            if len(broken(text, width)) <= _MOST_LINES:
                break
        return text

    def _put(self, part: str, text: str) -> None:
        put_line(self.query_one(f".{part}", Static), text)
