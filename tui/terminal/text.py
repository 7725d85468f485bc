"""Lines of text that fit any terminal."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from typing import Any

WIDTH = 78
_TIED = "\N{NO-BREAK SPACE}%"


UNWRAPPED = 1_000_000
"""A width for text that is wrapped where it is shown."""


def wrapped(
    text: str, indent: str = "", first: str | None = None, width: int = WIDTH
) -> Iterator[str]:
    """`text` in lines of at most `width`, indented; the first one begins with `first` instead."""
    yield from broken(
        text,
        width,
        initial_indent=indent if first is None else first,
        subsequent_indent=indent,
        break_long_words=False,
    )


def broken(text: str, width: int, **how: Any) -> list[str]:
    """`textwrap.wrap`, with a number and its per cent sign on one line."""
    lines = textwrap.wrap(text.replace(" %", _TIED), width, **how)
    return [line.replace(_TIED, " %") for line in lines]
