"""Why this step: what it would tell apart, what it costs, what else could be looked at."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widgets import Static

from diagnose.advice.foresight import Outcome
from diagnose.words.steps import step_reasons, step_text
from tui.app.bench import Assessed
from tui.dialogs.base import SideScreen
from tui.widgets.hanging_text import HangingText


class WhyScreen(SideScreen):
    """Reasons for the step on the card."""

    CSS_PATH = "why.tcss"
    AUTO_FOCUS: ClassVar[str | None] = "#reasons"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("w", "leave", "Back", show=False),
        Binding("c", "app.causes", "Causes", tooltip="Ranked causes and reasons", id="causes"),
    ]

    def body(self) -> ComposeResult:
        """The step, its reasons."""
        yield Static("", id="step", markup=False)
        with VerticalScroll(id="reasons"):
            yield HangingText(id="text")

    def show_assessed(self, current: Assessed) -> None:
        """Show the step and ask for what the answers would do."""
        words = step_text(self.bench.rules, self.bench.case, current.assessment.step)
        self.query_one("#step", Static).update(f"Why now: {words.heading}")
        self.card_app.foresee(self.show_reasons)

    def show_reasons(self, foreseen: dict[str, tuple[Outcome, ...]]) -> None:
        """Show the reasons."""
        current = self.bench.current
        if current is not None:
            lines = step_reasons(self.bench.rules, current.case, current.assessment, foreseen)
            self.query_one(HangingText).show(lines)
