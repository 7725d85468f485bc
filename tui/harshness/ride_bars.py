"""How much harsher every ride is: one stacked bar each, of what makes it, with its band."""

from __future__ import annotations

from textual.content import Content
from textual.widgets import Static

from diagnose.harshness.shares import EndAnswer
from tui.harshness.stacked_bar import legend, longest, stacked_bar
from tui.terminal.glyphs import ASCII, UNICODE, Glyphs
from tui.terminal.text import wrapped

_SHORT = {
    "smooth ground": "smooth", "worn ground": "worn", "rough ground": "rough",
    "exit rollers": "rollers", "braking bumps": "braking", "square edge": "sq. edge",
}  # fmt: skip
_NAME, _SHORT_NAME, _RANGE, _FIGURE = 14, 11, 14, 4
_NARROW_BELOW = 36
_TIED = "\N{NO-BREAK SPACE}"


class RideBars(Static):
    """A stacked bar a ride, in an order that stays; with too few lines, those of the harshest."""

    DEFAULT_CSS = """
    RideBars { width: 1fr; height: 1fr; text-wrap: nowrap; }
    """

    def __init__(self, id: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id, markup=False)
        self.fine = True
        self._answer: EndAnswer | None = None

    def show(self, answer: EndAnswer | None) -> None:
        """Show an answer, or nothing while there is none."""
        self._answer = answer
        self._draw()

    def on_resize(self) -> None:
        """Draw again for another size."""
        self._draw()

    def _draw(self) -> None:
        width, height = self.size
        if self._answer is None or width < _SHORT_NAME:
            self.update("")
            return
        lines = bar_lines(self._answer, width, height, UNICODE if self.fine else ASCII)
        self.update(Content("\n").join(lines))


def bar_lines(answer: EndAnswer, width: int, height: int, glyphs: Glyphs) -> list[Content]:
    """The bars under their legend, in at most `height` lines of at most `width` columns."""
    tied = "  ".join(words.replace(" ", _TIED) for words in legend(answer))
    words = [line.replace(_TIED, " ") for line in wrapped(tied, width=width)]
    names = answer.survey.names
    room = max(1, height - len(words))
    worst = sorted(names, key=lambda ride: -answer.worse(ride).middle)[:room]
    span = longest(answer)
    rows = [_row(answer, ride, span, width, glyphs) for ride in names if ride in worst]
    if room > len(rows):
        title = "% harsher" if width < _NARROW_BELOW else "Harsher by ride, % and range"
        words.insert(0, title)
    return [*map(Content, words), *rows]


def _row(answer: EndAnswer, ride: str, span: float, width: int, glyphs: Glyphs) -> Content:
    extra = answer.worse(ride)
    middle, low, high = (round(100 * size) or 0 for size in (extra.middle, extra.low, extra.high))
    if width < _NARROW_BELOW:
        label = f"{_SHORT.get(ride, ride):<{_SHORT_NAME}}{middle:>{_FIGURE - 1}} "
    else:
        told = f"{middle}" if low == high else f"{middle} ({low} to {high})"
        label = f"{ride:<{_NAME}}{told:<{_RANGE}} "
    bar = stacked_bar(extra, answer.divided(ride), span, width - len(label), glyphs)
    return Content.assemble((label, "bold" if ride == answer.over else ""), *bar)
