"""Why this step: what it would tell apart, what it costs, what else could be looked at."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widgets import Footer, Static

from diagnose.foresight import Outcome
from diagnose.wording import step_text
from tui.screens.base import CardScreen
from tui.telling import step_reasons
from tui.widgets.case_head import CaseHead
from tui.widgets.hanging_text import HangingText


class WhyScreen(CardScreen[None]):
    """Reasons for the step on the card."""

    CSS_PATH = "why.tcss"
    AUTO_FOCUS: ClassVar[str | None] = "#reasons"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("w", "leave", "Back", show=False),
        Binding("c", "app.causes", "Causes", tooltip="Ranked causes and reasons", id="causes"),
    ]

    def compose(self) -> ComposeResult:
        """Head, the step, its reasons."""
        yield CaseHead()
        yield Static("", id="step", markup=False)
        with VerticalScroll(id="reasons"):
            yield HangingText(id="text")
        yield Footer(show_command_palette=False)

    def on_mount(self) -> None:
        """Ask for what the answers would do."""
        self.show_case()

    def show_case(self) -> None:
        """Show the step and ask for what the answers would do."""
        bench = self.bench
        self.query_one(CaseHead).show(bench.rules, bench)
        if bench.current is not None:
            words = step_text(bench.rules, bench.case, bench.current.assessment.step)
            self.query_one("#step", Static).update(f"Why now: {words.heading}")
            self.card_app.foresee(self.show_reasons)

    def show_reasons(self, foreseen: dict[str, tuple[Outcome, ...]]) -> None:
        """Show the reasons."""
        current = self.bench.current
        if current is not None:
            lines = step_reasons(self.bench.rules, current, foreseen)
            self.query_one(HangingText).show(lines)
