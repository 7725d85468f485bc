"""Bars and curves in plain text, in Unicode or in ASCII alone; never in colour."""

from __future__ import annotations

import sys
from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from typing import Any

from tui.terminal.text import WIDTH

_EIGHTHS = " ▏▎▍▌▋▊▉"
_FRAME = str.maketrans("┌┐└┘─│├┤┬┴┼", "++++-|+++++")
CHART_MARGIN = 14
"""Columns of a chart that are not the curve's own: its frame and what is written beside it."""
_MARKS = ("*", "o", "+", "x")
_SEVERAL = "*"


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
    return _rows(plot_to_string(**with_options), fancy=fancy)


def time_chart(
    xs: Sequence[int],
    ys: Sequence[float],
    *,
    days: int,
    first: date,
    marks: Mapping[int, str],
    unit: str,
    level: float | None,
    fancy: bool,
    fine: bool,
    height: int,
    width: int = WIDTH,
) -> list[str]:
    """One figure over `days` from `first` on, as lines of at most `width` columns: under the frame
    a row of `marks` (day to one letter), and a row of dates.

    `fine` is as in `chart`; a level line stands at `level`.
    """
    from uniplot import plot_to_string  # noqa: PLC0415  # a seventh of a second

    inner = width - CHART_MARGIN
    shown = [*ys, *([] if level is None else [level])]
    room = max(0.1 * (max(shown) - min(shown)), 0.02 * max(abs(max(shown)), 1))
    options: dict[str, Any] = {
        "xs": list(xs),
        "ys": list(ys),
        "lines": len(xs) > 1,
        "color": False,
        "width": inner,
        "height": height,
        "x_min": 0,
        "x_max": days,
        "y_unit": f" {unit}",
        "y_min": min(shown) - room,
        "y_max": max(shown) + room,
        "x_gridlines": [],
        "y_gridlines": [] if level is None else [level],
        "character_set": "braille" if fine else "ascii",
    }
    if not fine:
        options["force_ascii_characters"] = [_MARKS[0]]
    rows = _rows(plot_to_string(**options), fancy=fancy)[: height + 2]

    def column(day: int) -> int:
        return round(day / days * (inner - 1))

    under, dates = [" "] * inner, [" "] * inner
    for day, letter in marks.items():
        at = column(day)
        under[at] = letter if under[at] in (" ", letter) else _SEVERAL
    for day in (0, days // 2, days):
        text = (first + timedelta(days=day)).isoformat()
        at = min(max(column(day) - len(text) // 2, 0), inner - len(text))
        dates[at : at + len(text)] = text
    return [*rows, f" {''.join(under)}".rstrip(), f" {''.join(dates)}".rstrip()]


def _rows(drawn: str, *, fancy: bool) -> list[str]:
    rows = [row.rstrip() for row in drawn.splitlines()]
    if not fancy:
        rows = [row.translate(_FRAME) for row in rows]
    return [row for row in rows if row]
