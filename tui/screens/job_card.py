"""The case on one page: complaint, cause, correction, proof. Copy it, save it, close the case."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widgets import Footer

from tui.screens.base import CardScreen
from tui.widgets.case_head import CaseHead
from tui.widgets.hanging_text import HangingText


class JobCardScreen(CardScreen[None]):
    """Shows the card as the Markdown that is exported. `looking` offers to go on with the case."""

    CSS_PATH = "job_card.tcss"
    AUTO_FOCUS: ClassVar[str | None] = "#page"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("g", "go_on", "Go on", tooltip="Go on with this case", id="card.go"),
        Binding("c", "app.copy_card", "Copy", tooltip="Copy the card", id="card.copy"),
        Binding("m", "app.save_card", "Markdown", tooltip="Save as Markdown", id="card.markdown"),
        Binding("f", "app.save_case", "File", tooltip="Save as a case file", id="card.file"),
        Binding("j", "app.jot", "Jot", tooltip="Add a note to the case", id="jot"),
        Binding(
            "z", "app.close_case", "Close", tooltip="Close: back to the start", id="card.close"
        ),
    ]

    def __init__(self, looking: bool = False) -> None:
        super().__init__()
        self._looking = looking

    def compose(self) -> ComposeResult:
        """Head and page."""
        yield CaseHead()
        with VerticalScroll(id="page"):
            yield HangingText(id="text")
        yield Footer(show_command_palette=False)

    def on_mount(self) -> None:
        """Show the card."""
        self.show_case()

    def show_case(self) -> None:
        """Show the card as the case now stands."""
        bench = self.bench
        self.query_one(CaseHead).show(bench.rules, bench)
        if bench.current is not None and bench.current.case is bench.case:
            self.query_one(HangingText).show(self.card_app.card_text().splitlines())

    def action_go_on(self) -> None:
        """Go on with the case."""
        self.dismiss(None)
        if self._looking:
            self.card_app.go_on_with_case()
