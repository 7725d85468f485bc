"""The ranked causes with bars that move as answers come."""

from __future__ import annotations

import textwrap

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Static

from diagnose.case.events import Answered, standing
from diagnose.diagnosis import Assessed
from diagnose.words.cause_words import moved_lines, nothing_text
from diagnose.words.chances import change_mark, percent
from diagnose.words.event_words import event_text
from rules.rulebase import RuleBase
from tui.terminal.glyphs import UNICODE, Glyphs
from tui.widgets.hanging_text import HangingText

_WORTH_SHOWING = 0.01
_MOST = 9


class CauseBars(VerticalScroll, can_focus=False):
    """Title, percentage, bar and change of each cause; then what the last answer did."""

    DEFAULT_CSS = """
    CauseBars { padding: 0 1; scrollbar-size-vertical: 1; }
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
        ranking = assessed.assessment.ranking
        shown = [c for c in ranking.causes if c.relevant and not c.corrected]
        shown = [c for c in shown if c.probability >= _WORTH_SHOWING][:_MOST]
        lines: list[Content] = []
        found = {fault.cause for fault in assessed.assessment.faults}
        for number, item in enumerate(shown, 1):
            seen = "found: " if item.cause in found else ""
            title = f"{number} {seen}{rules.causes[item.cause].title}"
            mark = change_mark(assessed.moved_by(item.cause))
            lines += self._cause(title, item.probability, mark, width)
        nothing = nothing_text(assessed.assessment)
        lines += self._cause(f"  {nothing}", ranking.nothing_listed, "", width) if nothing else []
        put_right = [
            Content(f"  {rules.causes[item.cause].title}: put right")
            for item in ranking.causes
            if item.corrected and item.relevant
        ]
        is_proven = standing(assessed.case).is_proven
        lines = [*put_right, *lines] if is_proven else [*lines, *put_right]
        self.query_one(".bars", Static).update(Content("\n").join(lines))
        self.query_one(".moved", HangingText).show(_last(rules, assessed))

    def _cause(self, title: str, share: float, mark: str, width: int) -> list[Content]:
        figure = percent(share)
        room = width - len(figure) - 1
        first, *rest = textwrap.wrap(title, room, subsequent_indent="  ", drop_whitespace=False)
        full, empty = self.glyphs.bar(share, max(8, width - 12))
        return [
            Content.assemble(f"{first:<{room}} ", (figure, "bold")),
            *(Content(line) for line in rest),
            Content.assemble("  ", (full, "$primary"), (empty, "dim"), f" {mark}"),
        ]


def _last(rules: RuleBase, assessed: Assessed) -> list[str]:
    if not assessed.case.events:
        return []
    told = moved_lines(rules, assessed.assessment, assessed.moved)
    last = assessed.case.events[-1]
    if not told and isinstance(last, Answered):
        told = ["It moved nothing."]
    return [f"Last: {event_text(rules, last)}", *(f"  {line}" for line in told)]
