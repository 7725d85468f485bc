"""Lines of text that fit any terminal."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

WIDTH = 78


def wrapped(text: str, indent: str = "", first: str | None = None) -> Iterator[str]:
    """`text` in lines of at most `WIDTH`, indented."""
    yield from textwrap.wrap(
        text,
        WIDTH,
        initial_indent=indent if first is None else first,
        subsequent_indent=indent,
        break_long_words=False,
    )
