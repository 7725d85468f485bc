"""Lines of text that go on indented where they are too long."""

from __future__ import annotations

from collections.abc import Iterable

from textual.widgets import Static

from tui.terminal.text import broken

_WIDEST = 110


class HangingText(Static):
    """Wraps each line at its width; one that begins with `1. `, `- ` or spaces goes on indented."""

    DEFAULT_CSS = """
    HangingText { height: auto; width: 1fr; }
    """

    def __init__(self, id: str | None = None, classes: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id, classes=classes, markup=False)
        self._lines: tuple[str, ...] = ()
        self._wrapped_at = 0

    def show(self, lines: Iterable[str]) -> None:
        """Show these lines in place of those before."""
        self._lines = tuple(lines)
        self._wrapped_at = 0
        self._wrap()

    def lines_at(self, width: int) -> int:
        """How many lines it takes at `width`."""
        return sum(len(hanging(line, max(10, min(width, _WIDEST)))) for line in self._lines)

    @property
    def words(self) -> int:
        """How many words it has."""
        return sum(len(line.split()) for line in self._lines)

    def on_resize(self) -> None:
        """Wrap again at another width."""
        self._wrap()

    def _wrap(self) -> None:
        width = min(self.size.width, _WIDEST)
        if width < 10 or width == self._wrapped_at:
            if not self._wrapped_at:
                self.update("\n".join(self._lines))
            return
        self._wrapped_at = width
        self.update("\n".join(part for line in self._lines for part in hanging(line, width)))


def hanging(line: str, width: int) -> list[str]:
    """One line in parts of at most `width`, the later ones indented."""
    start = len(line) - len(line.lstrip())
    word = line.lstrip().split(" ", 1)[0]
    if word[:-1].isdigit() or word == "-":
        start += len(word) + 1
    elif start:
        start += 2
    return broken(line, width, subsequent_indent=" " * start) or [""]
