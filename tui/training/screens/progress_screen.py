"""How a trainee stands: the plot of scores, measures, groups of causes, exams, what comes back."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Sequence
from functools import partial
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Grid, Vertical, VerticalScroll
from textual.widgets import Static

from tui.dialogs.base import IN_ASCII, CardScreen
from tui.training.words.course_sheet import CourseSheet
from tui.training.words.progress_lines import (
    FEWEST_TO_PLOT,
    PLOT_TITLE,
    score_chart,
    share_lines,
    standing_lines,
    summary_lines,
)
from tui.widgets.key_footer import KeyFooter
from tui.widgets.keyed import keyed

_FRAME_LINES = 3
_FEWEST_LINES = 3
_WIDEST, _NARROWEST = 110, 40


class ScorePlot(Static):
    """A column for each of the latest cases, with a line at the pass mark."""

    DEFAULT_CSS = """
    ScorePlot { width: 1fr; height: 1fr; text-wrap: nowrap; }
    """

    def __init__(self, scores: Sequence[float], pass_mark: float, id: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id, markup=False)
        self.fancy = True
        self._scores, self._pass_mark = scores, pass_mark

    def on_resize(self) -> None:
        """Draw again for another size."""
        width, lines = min(self.size.width, _WIDEST), self.size.height - _FRAME_LINES
        if len(self._scores) < FEWEST_TO_PLOT:
            self.update(f"The plot of scores begins with {FEWEST_TO_PLOT} cases.")
        elif width >= _NARROWEST and lines >= _FEWEST_LINES:
            drawn = score_chart(
                self._scores, self._pass_mark, fancy=self.fancy, width=width, height=lines
            )
            self.update("\n".join([PLOT_TITLE, *drawn]))


class ProgressScreen(CardScreen[None]):
    """The plot of scores, and tables that scroll."""

    CSS_PATH = "progress_screen.tcss"
    AUTO_FOCUS: ClassVar[str | None] = "#tables"
    BINDINGS: ClassVar[list[BindingType]] = [
        keyed("o", "write", "Write it as a card", "Write", id="progress.write"),
    ]

    def __init__(self, sheet: CourseSheet, write: Callable[[], None]) -> None:
        super().__init__()
        self._sheet, self._write = sheet, write

    def compose(self) -> ComposeResult:
        """The summary and the plot, with the tables beside them."""
        person, scoring = self._sheet.standing, self._sheet.teaching.guide.scoring
        with Grid(id="body"):
            with Vertical(id="left"):
                yield Static(person.trainee.name, id="summary", markup=False)
                yield ScorePlot(person.progress.score.values, scoring.pass_mark, id="plot")
            with VerticalScroll(id="tables"):
                yield Static("working out intervals ...", id="lines", markup=False)
        yield KeyFooter()

    def on_mount(self) -> None:
        """Work the tables out in the background: intervals take time."""
        fancy = not self.app.has_class(IN_ASCII)
        self.query_one(ScorePlot).fancy = fancy
        self.look_up(partial(asyncio.to_thread, self._lines, fancy), self._show_lines)

    def _lines(self, fancy: bool) -> tuple[list[str], list[str]]:
        sheet = self._sheet
        guide, course = sheet.teaching.guide, sheet.teaching.course
        lines = [*share_lines(guide, sheet.standing, fancy=fancy), ""]
        lines += standing_lines(guide, course, sheet.standing, sheet.now)
        return list(summary_lines(sheet.standing)), lines

    def _show_lines(self, found: tuple[list[str], list[str]]) -> None:
        summary, lines = found
        self.query_one("#summary", Static).update("\n".join(summary))
        self.query_one("#lines", Static).update("\n".join(lines))

    def action_write(self) -> None:
        """Write the training record as a card."""
        self._write()
