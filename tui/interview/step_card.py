"""The step itself: what to do, large and plain, cautions before everything else."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.widgets import Static

from diagnose.words.chances import counted
from diagnose.words.step_words import StepText
from tui.widgets.hanging_text import HangingText
from tui.widgets.text_lines import put_line

# the parts in the order they are read, with the empty lines around each
_SPACE = {"label": 0, "cautions": 1, "heading": 2, "tools": 0, "how": 1, "note": 0}


class StepCard(VerticalScroll, can_focus=False):
    """Shows the words of a step; scrolls where there are more than fit."""

    DEFAULT_CSS = """
    StepCard { height: 1fr; padding: 0 1; scrollbar-size-vertical: 1; }
    StepCard > .label { color: $text-muted; }
    StepCard > .cautions { color: $warning; text-style: bold; margin: 1 0 0 0; }
    StepCard > .heading { text-style: bold; margin: 1 0; }
    StepCard > .tools { color: $text-muted; }
    StepCard > .how { margin: 0 0 1 0; }
    StepCard > .note { color: $text-muted; }
    """

    def compose(self) -> ComposeResult:
        """The parts, in the order they are read."""
        for part in _SPACE:
            yield HangingText(classes=part)

    def show(self, label: str, words: StepText) -> None:
        """Show a step from its beginning."""
        how = [f"{number}. {line}" for number, line in enumerate(words.how, 1)]
        self._put("label", [label])
        self._put("cautions", [f"CAUTION: {text}" for text in words.cautions])
        self._put("heading", [words.heading])
        self._put("tools", [f"Tools: {', '.join(words.tools)}"] if words.tools else [])
        self._put("how", how)
        self._put("note", [words.note] if words.note else [])
        self.scroll_home(animate=False)

    def lines_needed(self) -> int:
        """How many lines all of it takes at the width there is."""
        return sum(
            text.lines_at(self.scrollable_content_region.width) + _SPACE[part]
            for part in _SPACE
            if (text := self.query_one(f".{part}", HangingText)).display
        )

    def _put(self, part: str, lines: list[str]) -> None:
        text = self.query_one(f".{part}", HangingText)
        text.show(lines)
        text.display = bool(lines)


class MoreLine(Static):
    """Says how many lines of a card are below its end, and the `key` that shows them; takes no room
    where there are none."""

    DEFAULT_CSS = """
    MoreLine { height: 1; padding: 0 1; text-style: bold; color: $accent; }
    """

    def __init__(self, card: StepCard) -> None:
        super().__init__(markup=False)
        self._card = card
        self.key = "Down"

    def on_mount(self) -> None:
        """Follow the card as it scrolls."""
        self.watch(self._card, "scroll_y", self._count, init=False)

    def count(self) -> None:
        """Count anew once the screen has been laid out, as after other words or another size."""
        self.call_after_refresh(self._count)

    def _count(self) -> None:
        below = self._card.max_scroll_y - self._card.scroll_offset.y
        put_line(self, f"{counted(below, 'more line')}: press {self.key}" if below > 0 else "")
