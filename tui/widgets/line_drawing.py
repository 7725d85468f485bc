"""A line drawing in dots, as large as there is room."""

from __future__ import annotations

from itertools import groupby

from textual.content import Content
from textual.widget import Widget

_STYLES = {"ink": "", "mark": "bold $accent", "alarm": "bold $error"}


class LineDrawing(Widget):
    """Draws the SVG text of a picture of the rule base anew at every size."""

    DEFAULT_CSS = """
    LineDrawing { content-align: center middle; }
    """

    def __init__(self, svg: str) -> None:
        super().__init__()
        self._svg = svg

    def render(self) -> Content:
        """The rows of cells, each run of one tone in its style."""
        from tui.terminal.dots import draw_in_dots  # noqa: PLC0415  # loads what draws

        if not self.size.area:
            return Content("")
        rows = draw_in_dots(self._svg, self.size.width, self.size.height)
        return Content("\n").join(
            Content.assemble(
                *(
                    ("".join(cell.sign for cell in run), _STYLES[tone])
                    for tone, run in groupby(row, key=lambda cell: cell.tone)
                )
            )
            for row in rows
        )
