"""A curve drawn as large as there is room for."""

from __future__ import annotations

import uniplot  # noqa: F401  # the chart needs it; loaded with this module, off the screen's thread
from textual.widgets import Static

from diagnose.harshness.curves import Curve
from tui.harshness.harsh_lines import safe_lines
from tui.terminal.charts import chart
from tui.terminal.text import wrapped

# its frame and the figures below it
_FRAME_LINES = 3
_FEWEST_LINES = 2
# so many lines of the curve go before what its ruler means, which the page behind says as well
_ROOMY_LINES = 6
_WIDEST, _NARROWEST = 110, 40
# so that a curve that hardly moves looks flat
_AT_LEAST = (90.0, 110.0)


class CurvePlot(Static):
    """Harshness over one setting, 100 % as it should be, with an upright where it is now."""

    DEFAULT_CSS = """
    CurvePlot { width: 1fr; height: 1fr; text-wrap: nowrap; }
    """

    def __init__(self, id: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id, markup=False)
        self.fine = True
        self._curve: Curve | None = None

    def show(self, curve: Curve | None) -> None:
        """Show a curve, or nothing."""
        self._curve = curve
        self._draw()

    def on_resize(self) -> None:
        """Draw again for another size."""
        self._draw()

    def _draw(self) -> None:
        curve, width = self._curve, min(self.size.width, _WIDEST)
        if curve is None or width < _NARROWEST:
            self.update("")
            return
        title, safe = _title(curve, width), list(safe_lines(curve, width))
        if self.size.height < len(title) + _FRAME_LINES + _ROOMY_LINES + len(safe):
            safe = safe[:1]
        lines = self.size.height - len(title) - _FRAME_LINES - len(safe)
        if lines < _FEWEST_LINES:
            self.update("")
            return
        every = [size for line in curve.harshness.values() for size in line]
        drawn = chart(
            curve.values, curve.harshness, unit=curve.unit, mark=curve.now,
            span=(min(*every, _AT_LEAST[0]), max(*every, _AT_LEAST[1])),
            fancy=self.fine, fine=self.fine, height=lines, width=width,
        )  # fmt: skip
        self.update("\n".join([*title, *drawn, *safe]))


def _title(curve: Curve, width: int) -> list[str]:
    now = f"upright: {curve.now:.3g} {curve.unit}"
    whole = f"Harshness over {curve.title}; 100 % is right, {now}"
    if len(whole) <= width:
        return [whole]
    return list(wrapped(f"Harshness over {curve.title}, %; {now}", width=width))
