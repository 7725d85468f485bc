"""The step itself: what to do, always in view; its cautions before how it is done."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import Vertical, VerticalScroll
from textual.widgets import Static

from diagnose.words.chances import counted
from diagnose.words.step_words import StepText
from tui.widgets.hanging_text import HangingText, hanging
from tui.widgets.text_lines import put_line

# the parts in the order they are read, with the empty lines after each
_TOP = {"label": 0, "heading": 1}
_TEXT = {"cautions": 1, "again": 1, "tools": 0, "how": 1, "note": 0}

_LEAST_TEXT = 3

TO_THE_WORK = "on to the work"


class StepCard(VerticalScroll, can_focus=False):
    """Shows the words of a step. What to do stands on top; the text below it scrolls where there is
    more than fits."""

    DEFAULT_CSS = """
    StepCard { height: 1fr; padding: 0 1; scrollbar-size-vertical: 1; scrollbar-gutter: stable; }
    StepCard > .top { dock: top; height: auto; }
    StepCard > .top > .label { color: $text-muted; }
    StepCard > .top > .heading { text-style: bold; }
    StepCard > .text { height: auto; padding: 1 0 0 0; }
    StepCard > .text > .cautions { color: $warning; text-style: bold; margin: 0 0 1 0; }
    StepCard > .text > .again { color: $warning; margin: 0 0 1 0; }
    StepCard > .text > .tools { color: $text-muted; }
    StepCard > .text > .how { margin: 0 0 1 0; }
    StepCard > .text > .note { color: $text-muted; }
    """

    def __init__(self) -> None:
        super().__init__()
        self._parts = {part: HangingText(classes=part) for part in (*_TOP, *_TEXT)}
        self._top = Vertical(*(self._parts[part] for part in _TOP), classes="top")
        self._deepest = 0
        self.picture = ""
        """The id of the picture of the step shown; empty where it has none."""

    def compose(self) -> ComposeResult:
        """The parts, in the order they are read."""
        yield self._top
        yield Vertical(*(self._parts[part] for part in _TEXT), classes="text")

    def show(self, label: str, words: StepText, again: str = "") -> None:
        """Show a step from its beginning. `again` stands for cautions that were read before."""
        self.picture = words.picture
        how = [f"{number}. {line}" for number, line in enumerate(words.how, 1)]
        self._put("label", [f"{label} · d drawing" if words.picture else label])
        self._put("heading", [words.heading])
        self._put("cautions", [f"CAUTION: {text}" for text in words.cautions])
        self._put("again", [again] if again else [])
        self._put("tools", [f"Tools: {', '.join(words.tools)}"] if words.tools else [])
        self._put("how", how)
        self._put("note", [words.note] if words.note else [])
        # at once: a shorter text laid out first would pull the view to its end, as if it was seen
        self.scroll_home(animate=False, immediate=True)
        self._deepest = 0

    def watch_scroll_y(self, old_value: float, new_value: float) -> None:
        """Remember how far the text was seen."""
        super().watch_scroll_y(old_value, new_value)
        self._deepest = max(self._deepest, round(new_value))

    def show_unseen(self) -> bool:
        """Scroll to text that was not in view yet. False where all of it was."""
        if self._deepest >= self.max_scroll_y:
            return False
        self.scroll_to(y=self._deepest, animate=False)
        self.page(1)
        return True

    @property
    def _page(self) -> int:
        """The lines that a page goes on by; two stay to find the place again."""
        return max(1, self.size.height - self._top.outer_size.height - 2)

    @property
    def pages(self) -> tuple[int, int]:
        """Which page is in view, and how many there are."""
        count = 1 + -(-self.max_scroll_y // self._page)
        return min(count, 1 + -(-round(self.scroll_y) // self._page)), count

    def page(self, by: int) -> None:
        """Scroll the text by pages."""
        self.scroll_relative(y=by * self._page, animate=False)

    def lines_needed(self) -> int:
        """How many lines all of it takes at the width there is."""
        return sum(
            text.lines_at(self.scrollable_content_region.width) + after
            for part, after in (_TOP | _TEXT).items()
            if (text := self._parts[part]).display
        )

    def least_lines(self) -> int:
        """How many lines show what to do, a line of the text below it, and that there is more."""
        width = self.scrollable_content_region.width
        top = sum(self._parts[part].lines_at(width) for part in _TOP)
        return min(self.lines_needed(), top + _LEAST_TEXT)

    @property
    def words(self) -> int:
        """How many words all of it has."""
        return sum(part.words for part in self._parts.values() if part.display)

    @staticmethod
    def lines_of(words: StepText, width: int) -> int:
        """How many lines a step takes at a width, its heading and what is between included."""
        cautions = [f"CAUTION: {text}" for text in words.cautions]
        parts = ([""], [words.heading], cautions, [" ".join(words.tools)], words.how, [words.note])
        wrapped = [sum(len(hanging(line, width)) for line in part) for part in parts]
        return sum(wrapped) + sum((_TOP | _TEXT).values())

    def _put(self, part: str, lines: list[str]) -> None:
        text = self._parts[part]
        text.show(lines)
        text.display = bool(lines)


class MoreLine(Static):
    """Says how many lines of a card are below its end, and the `key` that shows them, or which page
    is in view; takes no room where all is."""

    DEFAULT_CSS = """
    MoreLine { height: 1; padding: 0 1; text-style: bold; color: $accent; }
    """

    def __init__(self, card: StepCard) -> None:
        super().__init__(markup=False)
        self._card = card
        self.key = "Down"
        self.leads_to = ""
        """Where `Enter` leads from the last page, while the text is read page by page; else
        empty."""

    def on_mount(self) -> None:
        """Follow the card as it scrolls."""
        self.watch(self._card, "scroll_y", self._count, init=False)

    def count(self) -> None:
        """Count anew once the screen has been laid out, as after other words or another size."""
        self.call_after_refresh(self._count)

    def _count(self) -> None:
        page, pages = self._card.pages
        if self.leads_to and pages > 1:
            on = f"page {page + 1}" if page < pages else self.leads_to
            was_there = self.display
            put_line(self, f"Page {page} of {pages}. Enter: {on}")
            if not was_there:
                self.count()  # this line takes room from the pages
            return
        below = self._card.max_scroll_y - self._card.scroll_offset.y
        if self.display and below <= self.size.height:
            below = 0  # without this line there is room for what is left
        put_line(self, f"{counted(below, 'more line')}: press {self.key}" if below > 0 else "")
