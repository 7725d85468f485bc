"""Rows in columns of plain text."""

from __future__ import annotations

from collections.abc import Sequence


def table(rows: Sequence[tuple[str, ...]], head: tuple[str, ...]) -> list[str]:
    """Rows under a head, each column as wide as its widest cell; no rows give no lines."""
    if not rows:
        return []
    widths = [max(len(row[n]) for row in [head, *rows]) for n in range(len(head))]
    return [
        "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip()
        for row in [head, *rows]
    ]
