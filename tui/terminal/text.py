"""Lines of text that fit any terminal."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

WIDTH = 78


UNWRAPPED = 1_000_000
"""A width for text that is wrapped where it is shown."""


def wrapped(
    text: str, indent: str = "", first: str | None = None, width: int = WIDTH
) -> Iterator[str]:
    """`text` in lines of at most `width`, indented; the first one begins with `first` instead."""
    yield from textwrap.wrap(
        text,
        width,
        initial_indent=indent if first is None else first,
        subsequent_indent=indent,
        break_long_words=False,
    )
