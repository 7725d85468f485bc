"""Tab completes names while a line is typed, where the terminal has line editing."""

from __future__ import annotations

import contextlib
import sys
from collections.abc import Iterator, Sequence


@contextlib.contextmanager
def completing(names: Sequence[str]) -> Iterator[None]:
    """Complete with `names` for the time of a `with` block: those that begin as what is typed,
    else those that hold it."""
    if not sys.stdin.isatty():
        yield
        return
    try:
        import readline
    except ImportError:  # a Python built without line editing
        yield
        return

    def complete(text: str, number: int) -> str | None:
        begin = [name for name in names if name.startswith(text)]
        found = begin or [name for name in names if text and text in name]
        return found[number] if number < len(found) else None

    before, delimiters = readline.get_completer(), readline.get_completer_delims()
    readline.set_completer(complete)
    readline.set_completer_delims(" \t\n")
    readline.parse_and_bind("tab: complete")
    try:
        yield
    finally:
        readline.set_completer(before)
        readline.set_completer_delims(delimiters)
