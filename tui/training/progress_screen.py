"""How a trainee stands: the plot of scores, measures, groups of causes, exams, what comes back."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Grid, Vertical, VerticalScroll
from textual.widgets import Footer, Static

from tui.dialogs.base import CardScreen
from tui.training.score_plot import ScorePlot
from tui.training.words.course_sheet import CourseSheet
from tui.training.words.progress_lines import share_lines, standing_lines, summary_lines


class ProgressScreen(CardScreen[None]):
    """The tables scroll; the plot stays."""

    CSS_PATH = "progress_screen.tcss"
    AUTO_FOCUS: ClassVar[str | None] = "#tables"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("w", "write", "Write", tooltip="Write it as a card", id="progress.write"),
    ]

    def __init__(self, sheet: CourseSheet, write: Callable[[], None]) -> None:
        super().__init__()
        self._sheet, self._write = sheet, write

    def compose(self) -> ComposeResult:
        """Plot and tables."""
        person, scoring = self._sheet.standing, self._sheet.teaching.guide.scoring
        with Grid(id="body"):
            with Vertical(id="left"):
                yield Static(person.trainee.name, id="summary", markup=False)
                yield ScorePlot(person.progress.score.values, scoring.pass_mark, id="plot")
            with VerticalScroll(id="tables"):
                yield Static("working out intervals ...", id="lines", markup=False)
        yield Footer(show_command_palette=False)

    def on_mount(self) -> None:
        """Intervals take a while."""
        fancy = not self.card_app.ascii_only
        self.query_one(ScorePlot).fancy = fancy
        sheet = self._sheet
        guide, course = sheet.teaching.guide, sheet.teaching.course

        def found() -> tuple[list[str], list[str]]:
            lines = [*share_lines(guide, sheet.standing, fancy=fancy), ""]
            lines += standing_lines(guide, course, sheet.standing, sheet.now)
            return list(summary_lines(sheet.standing)), lines

        self.card_app.in_background(found, self._show)

    def _show(self, found: tuple[list[str], list[str]]) -> None:
        summary, lines = found
        self.query_one("#summary", Static).update("\n".join(summary))
        self.query_one("#lines", Static).update("\n".join(lines))

    def action_write(self) -> None:
        """Write the training record as a card."""
        self._write()
