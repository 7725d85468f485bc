"""Bars and curves in plain text, in Unicode or in ASCII alone; never in colour."""

from __future__ import annotations

import sys
from collections.abc import Mapping, Sequence
from typing import Any

from tui.terminal.text import WIDTH

_EIGHTHS = " ▏▎▍▌▋▊▉"
_FRAME = str.maketrans("┌┐└┘─│├┤┬┴┼", "++++-|+++++")
CHART_MARGIN = 14
"""Columns of a chart that are not the curve's own: its frame and what is written beside it."""
_MARKS = ("*", "o", "+", "x")


def fancy_output() -> bool:
    """Whether standard output can show block characters."""
    try:
        "█▏─│".encode(sys.stdout.encoding or "ascii")
    except (UnicodeEncodeError, LookupError):
        return False
    return True


def bar(share: float, width: int, *, fancy: bool) -> str:
    """A bar for a share between 0 and 1, clipped to it."""
    eighths = round(min(max(share, 0.0), 1.0) * width * 8)
    if not fancy:
        return "#" * round(eighths / 8)
    full, rest = divmod(eighths, 8)
    return "█" * full + (_EIGHTHS[rest] if rest else "")


def chart(
    values: Sequence[float],
    lines: Mapping[str, Sequence[float]],
    *,
    unit: str,
    mark: float | None,
    span: tuple[float, float],
    fancy: bool,
    height: int = 10,
    width: int = WIDTH,
    fine: bool = False,
    y_unit: str = "%",
    level: float = 100.0,
) -> list[str]:
    """Curves over `values`, named where there are several, as lines of at most `width` columns.

    A vertical line stands at `mark`, a level one at `level`; `span` is the bottom and the top.
    `fine` draws the curves in dots that only some fonts have.
    """
    from uniplot import plot_to_string  # noqa: PLC0415  # a seventh of a second

    with_options: dict[str, Any] = {
        "xs": [list(values)] * len(lines),
        "ys": [list(line) for line in lines.values()],
        "lines": True,
        "color": False,
        "width": width - CHART_MARGIN,
        "height": height,
        "x_unit": f" {unit}" if unit else "",
        "y_unit": f" {y_unit}",
        "y_min": span[0],
        "y_max": span[1] + 1e-6,
        "x_gridlines": [] if mark is None else [mark],
        "y_gridlines": [level],
        "character_set": "braille" if fine else "ascii",
    }
    if not fine:
        with_options["force_ascii_characters"] = list(_MARKS)
    if len(lines) > 1:
        with_options["legend_labels"] = list(lines)
    rows = [row.rstrip() for row in plot_to_string(**with_options).splitlines()]
    if not fancy:
        rows = [row.translate(_FRAME) for row in rows]
    return [row for row in rows if row]
