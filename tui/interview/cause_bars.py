"""The ranked causes with bars that move as answers come: beside the step, or in rows below it."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Static

from diagnose.case.events import Answered, standing
from diagnose.case.set_figures import just_set
from diagnose.diagnosis import Assessed
from diagnose.words.cause_words import moved_lines
from diagnose.words.chances import percent
from diagnose.words.event_words import event_text
from rules.rulebase import RuleBase
from tui.interview.cause_rows import (
    CauseRow,
    cause_rows,
    found_lines,
    nothing_row,
    put_right_lines,
)
from tui.terminal.glyphs import UNICODE, Glyphs
from tui.widgets.hanging_text import HangingText

_MOST = 9
_MOST_BELOW, _LEAST = 5, 3
_TRAIL, _LEAST_BAR, _LEAST_NAME = 8, 10, 8
_LEAST_SCALE = 0.2
"""The longest bar stands for the leader, or for this where even the leader is unlikely."""


class CauseBars(VerticalScroll, can_focus=False):
    """What was found; title, percentage, bar and change of each cause; then what the last answer
    did."""

    DEFAULT_CSS = """
    CauseBars { padding: 0 1; scrollbar-size-vertical: 1; scrollbar-gutter: stable; }
    CauseBars > Static { width: 1fr; height: auto; }
    CauseBars > .title { text-style: bold; margin: 0 0 1 0; }
    CauseBars > .moved { margin: 1 0 0 0; color: $text-muted; }
    """

    def __init__(self, id: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id)
        self.glyphs: Glyphs = UNICODE
        self._shown: tuple[RuleBase, Assessed] | None = None

    def compose(self) -> ComposeResult:
        """Heading, bars, and what the last answer did."""
        yield Static("How likely each is at work", markup=False, classes="title")
        yield Static(markup=False, classes="bars")
        yield HangingText(classes="moved")

    def on_resize(self) -> None:
        """Draw the bars again at another width."""
        self._draw()

    def show(self, rules: RuleBase, assessed: Assessed) -> None:
        """Show the causes as they were assessed last."""
        self._shown = (rules, assessed)
        self._draw()

    def _draw(self) -> None:
        if self._shown is None or not self.is_mounted:
            return
        rules, assessed = self._shown
        width = max(20, self.scrollable_content_region.width)
        rows = cause_rows(rules, assessed, _MOST)
        most = _scale(rows)
        bars = [line for row in rows for line in self._row(row, most, width)]
        bars += _nothing(assessed, width)
        found = [Content(line) for line in _found(rules, assessed, width)]
        put_right = [Content(text) for text in put_right_lines(rules, assessed)]
        is_proven = standing(assessed.case).is_proven
        lines = [*put_right, *found, *bars] if is_proven else [*found, *bars, *put_right]
        self.query_one(".bars", Static).update(Content("\n").join(lines))
        self.query_one(".moved", HangingText).show(_last(rules, assessed))

    def _row(self, row: CauseRow, most: float, width: int) -> list[Content]:
        figure = percent(row.share)
        room = width - len(figure) - 1
        first, *rest = textwrap.wrap(row.title, room, subsequent_indent="  ")
        trail = self.glyphs.trail(row.trail, most)
        bar = self.glyphs.part_bar(row.share / most, max(8, width - 14))
        return [
            Content.assemble(f"{first:<{room}} ", (figure, "bold")),
            *(Content(line) for line in rest),
            Content.assemble((bar, "$primary"), "  ", (trail, "$text-muted"), f" {row.mark}"),
        ]


class CausesBelow(Static):
    """The causes in front, in the rows that a step leaves empty: name, bar, chance, and how it
    moved over the latest answers. What was found stands above them."""

    DEFAULT_CSS = """
    CausesBelow { width: 1fr; height: auto; padding: 0 1; }
    CausesBelow.-empty { display: none; }
    """

    def __init__(self) -> None:
        super().__init__(markup=False)
        self.glyphs: Glyphs = UNICODE

    def fill(self, rules: RuleBase, assessed: Assessed, lines: int, width: int, words: int) -> int:
        """Show as much as fits into so many lines, whole rows only, and what the causes leave over
        where there is room for three of them; how many lines that took. Beyond three causes only as
        many as keep to so many words. Nothing is shown where a name would have no room beside its
        bar."""
        shown = [Content.styled(line, "bold") for line in _found(rules, assessed, width)]
        if len(shown) > lines // 2:
            shown = []
        rows = cause_rows(rules, assessed, _MOST_BELOW)
        most = _scale(rows)
        longest = max((len(row.title) for row in rows), default=0)
        figures = max((len(percent(row.share)) for row in rows), default=0)
        widest = width - figures - _TRAIL - _LEAST_BAR - 3
        name = min(longest, widest)
        room = width - name - figures - _TRAIL - 3
        has_room = lines - len(shown) > _LEAST
        nothing = _nothing(assessed, width - _TRAIL - 1) if has_room else []
        for number, row in enumerate(rows if widest >= _LEAST_NAME else ()):
            drawn = self._row(row, most, name, room, figures)
            words -= len(row.title.split())
            if len(shown) + len(drawn) + len(nothing) > lines or (number >= _LEAST and words < 0):
                break
            shown += drawn
        shown += nothing
        if lines < _LEAST or widest < _LEAST_NAME:
            shown = []
        self.update(Content("\n").join(shown))
        self.set_class(not shown, "-empty")
        return len(shown)

    def _row(self, row: CauseRow, most: float, name: int, room: int, figures: int) -> list[Content]:
        first, *rest = textwrap.wrap(row.title, name, subsequent_indent="  ")
        return [
            Content.assemble(
                f"{first:<{name}} ",
                (f"{self.glyphs.part_bar(row.share / most, room):<{room}}", "$primary"),
                (f" {percent(row.share):>{figures}} ", "bold"),
                (f"{self.glyphs.trail(row.trail, most):>{_TRAIL}}", "$text-muted"),
            ),
            *(Content(line) for line in rest),
        ]


def _found(rules: RuleBase, assessed: Assessed, width: int) -> list[str]:
    return [
        line
        for text in found_lines(rules, assessed)
        for line in textwrap.wrap(text, width, subsequent_indent="  ")
    ]


def _nothing(assessed: Assessed, width: int) -> list[Content]:
    """A line without a bar: no cause can be read from it. Empty where there is none."""
    words, figure = nothing_row(assessed)
    room = width - len(figure) - 1
    return [Content.styled(f"{words:<{room}} {figure}", "$text-muted")] if words else []


def _scale(rows: Sequence[CauseRow]) -> float:
    return max(_LEAST_SCALE, *(row.share for row in rows)) if rows else _LEAST_SCALE


def _last(rules: RuleBase, assessed: Assessed) -> list[str]:
    if not assessed.case.events:
        return []
    told = moved_lines(rules, assessed.assessment, assessed.moved)
    last = assessed.case.events[-1]
    if not told and isinstance(last, Answered) and not just_set(rules, assessed.case):
        told = ["It moved nothing."]
    return [f"Last: {event_text(rules, last)}", *(f"  {line}" for line in told)]
