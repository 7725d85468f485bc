"""Text on a screen: a line that comes and goes, and text that is longer than its place."""

from __future__ import annotations

from textual.widget import Widget
from textual.widgets import Static


def put_line(line: Static, text: str) -> None:
    """Show `text` in `line`, which takes no room where there is none."""
    put_text(line, text)
    line.display = bool(text)


def put_text(line: Static, text: str) -> None:
    """Show `text` in `line`; what stands there already costs no new layout of the screen."""
    if line.content != text:
        line.update(text)


def scroll_page(text: Widget, by: int) -> None:
    """Scroll by pages, down where `by` is above zero; two lines stay to find the place again."""
    text.scroll_relative(y=by * max(1, text.size.height - 2), animate=False)
