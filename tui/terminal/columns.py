"""Rows in columns of plain text."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from itertools import zip_longest

from tui.terminal.text import WIDTH

_GAP = "  "
_NARROWEST = 8


def table(rows: Sequence[tuple[str, ...]], head: tuple[str, ...]) -> list[str]:
    """Rows under a head, in lines of at most `WIDTH`; no rows give no lines.

    Each column is as wide as its widest cell; where that is too much, the cells of the widest
    columns go on below.
    """
    if not rows:
        return []
    every = [head, *rows]
    widths = _widths([max(len(row[n]) for row in every) for n in range(len(head))])
    return [line for row in every for line in _lines(row, widths)]


def _widths(widths: list[int]) -> list[int]:
    room = WIDTH - len(_GAP) * (len(widths) - 1)
    while sum(widths) > room and max(widths) > _NARROWEST:
        widths[widths.index(max(widths))] -= 1
    return widths


def _lines(row: tuple[str, ...], widths: Sequence[int]) -> Iterator[str]:
    cells = [textwrap.wrap(cell, max(width, 1)) for cell, width in zip(row, widths, strict=True)]
    for parts in zip_longest(*cells, fillvalue=""):
        padded = (part.ljust(width) for part, width in zip(parts, widths, strict=True))
        yield _GAP.join(padded).rstrip()
