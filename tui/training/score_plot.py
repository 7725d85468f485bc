"""Scores case by case, drawn as large as there is room for."""

from __future__ import annotations

from collections.abc import Sequence

from textual.widgets import Static

from tui.training.words.progress_lines import FEWEST_TO_PLOT, PLOT_TITLE, score_chart

_FRAME_LINES = 5
_FEWEST_LINES = 3
_WIDEST, _NARROWEST = 110, 40


class ScorePlot(Static):
    """The scores and their running mean, with a line at the pass mark."""

    DEFAULT_CSS = """
    ScorePlot { width: 1fr; height: 1fr; text-wrap: nowrap; }
    """

    def __init__(self, scores: Sequence[float], pass_mark: float, id: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id, markup=False)
        self.fancy = True
        self._scores, self._pass_mark = scores, pass_mark

    def on_resize(self) -> None:
        """Another size takes another drawing."""
        width, lines = min(self.size.width, _WIDEST), self.size.height - _FRAME_LINES
        if len(self._scores) < FEWEST_TO_PLOT:
            self.update(f"The plot of scores begins with {FEWEST_TO_PLOT} cases.")
        elif width >= _NARROWEST and lines >= _FEWEST_LINES:
            drawn = score_chart(
                self._scores, self._pass_mark, fancy=self.fancy, width=width, height=lines
            )
            self.update("\n".join([PLOT_TITLE, *drawn]))
