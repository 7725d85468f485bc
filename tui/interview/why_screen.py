"""Why this step: what it would tell apart, what it costs, what else could be looked at."""

from __future__ import annotations

from functools import partial
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widgets import Static

from diagnose.diagnosis import Assessed
from diagnose.words.step_words import step_reasons, step_text
from tui.interview.case_at_work import Foreseen
from tui.interview.side import SideScreen
from tui.widgets.hanging_text import HangingText


class WhyScreen(SideScreen):
    """Reasons for the step on the card."""

    CSS_PATH = "why_screen.tcss"
    AUTO_FOCUS: ClassVar[str | None] = "#reasons"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("w", "leave", "Back", show=False),
        Binding("c", "show('causes')", "Causes", tooltip="Ranked causes and reasons", id="causes"),
    ]

    def body(self) -> ComposeResult:
        """The step and its reasons."""
        yield Static("", id="step", markup=False)
        with VerticalScroll(id="reasons"):
            yield HangingText(id="text")

    def show_assessed(self, current: Assessed) -> None:
        """Show the step and ask for what the answers would do."""
        words = step_text(self.case.rules, self.case.case, current.assessment.step)
        self.query_one("#step", Static).update(f"Why now: {words.heading}")
        self.look_up(partial(self.acts.foresee, current), partial(self._show_reasons, current))

    def _show_reasons(self, current: Assessed, foreseen: Foreseen) -> None:
        lines = step_reasons(self.case.rules, current.case, current.assessment, foreseen)
        self.query_one(HangingText).show(lines)
