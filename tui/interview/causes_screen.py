"""The ranked causes, and for the one marked: evidence for and against, and what would move it."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from functools import partial
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Container, VerticalScroll
from textual.content import Content
from textual.widgets import OptionList, Static

from diagnose.diagnosis import Assessed
from diagnose.inference.posterior import RankedCause
from diagnose.words.cause_words import cause_reasons, causes_in_order, moved_line, nothing_text
from diagnose.words.chances import change_mark, percent
from tui.dialogs.base import glyphs_of
from tui.interview.case_at_work import CaseActs, CaseAtWork, Foreseen
from tui.interview.side import SideScreen
from tui.widgets.hanging_text import HangingText
from tui.widgets.keyed import keyed
from tui.widgets.row_list import RowList
from tui.widgets.text_lines import scroll_page

_MOST = 20
_BAR = 10
# columns before the title of a cause, and the fewest it is wrapped into
_BEFORE, _ROOM = 37, 20


class CausesScreen(SideScreen):
    """Every cause with its chance; on a narrow screen the only place for the bars."""

    CSS_PATH = "causes_screen.tcss"
    AUTO_FOCUS: ClassVar[str | None] = "#ranked"
    BINDINGS: ClassVar[list[BindingType]] = [
        keyed("w", "leave", "Back", show=False),
        Binding("tab", "show('why')", "The step", tooltip="Why this step", id="causes.step"),
        Binding("equals_sign", "figures", "Figures", tooltip="How it is worked out",
                id="causes.figures", key_display="="),
        keyed("p", "show('plan')", "Corrections in order", id="plan"),
        Binding("pagedown", "page(1)", "More", tooltip="Reasons below", id="causes.more"),
        Binding("pageup", "page(-1)", "Less", show=False, id="causes.less"),
    ]  # fmt: skip

    def __init__(self, case: CaseAtWork, acts: CaseActs) -> None:
        super().__init__(case, acts)
        self._foreseen: Foreseen = {}
        self._ranked: list[RankedCause] = []
        self._figures = False

    def body(self) -> ComposeResult:
        """What the last answer did, the ranked causes, the reasons of the one marked."""
        yield Static("", id="moved", markup=False)
        with Container(id="body"):
            yield RowList(id="ranked")
            with VerticalScroll(id="reasons", can_focus=False):
                yield HangingText(id="text")

    def show_assessed(self, current: Assessed) -> None:
        """Show the ranking and ask for what would move it."""
        rules, ranking = self.case.rules, current.assessment.ranking
        self._ranked = [
            c for c in causes_in_order(current.assessment) if c.relevant or c.corrected
        ][:_MOST]
        self.query_one("#moved", Static).update(
            moved_line(rules, current.case, current.assessment, current.moved)
        )
        ranked = self.query_one(RowList)
        marked = ranked.highlighted or 0
        words = nothing_text(current.assessment)
        nothing = f"    {words}  {percent(ranking.nothing_listed)}" if words else ""
        ranked.show_rows([self._row(n, c) for n, c in enumerate(self._ranked, 1)], nothing)
        if self._ranked:
            ranked.highlighted = min(marked, len(self._ranked) - 1)
        self.look_up(partial(self.acts.foresee, current), self._show_foreseen)

    def _row(self, number: int, item: RankedCause) -> Content:
        current = self.case.current
        assert current is not None
        full, empty = glyphs_of(self.app).bar(item.probability, _BAR)
        mark = "put right" if item.corrected else change_mark(current.moved_by(item.cause))
        room = self.query_one(RowList).scrollable_content_region.width - _BEFORE
        title = textwrap.wrap(self.case.rules.causes[item.cause].title, max(room, _ROOM))
        return Content.assemble(
            f"{number:>2}  ",
            full,
            (empty, "dim"),
            f" {percent(item.probability):>9}  {mark:<9}  ",
            (f"\n{' ' * _BEFORE}".join(title), "bold"),
        )

    def on_resize(self) -> None:
        """Wrap the titles again at another width."""
        if self.case.current is not None:
            self.show_case()

    def _show_foreseen(self, foreseen: Foreseen) -> None:
        """Take in what the open answers would do, and show it for the cause marked."""
        self._foreseen = foreseen
        marked = self.query_one(RowList).highlighted
        if marked is not None:
            self._show_reasons(marked)

    def on_option_list_option_highlighted(self, message: OptionList.OptionHighlighted) -> None:
        """Another cause is marked."""
        self._show_reasons(message.option_index)

    def _show_reasons(self, number: int) -> None:
        current = self.case.current
        if current is None or number >= len(self._ranked):
            return
        lines = cause_reasons(
            self.case.rules,
            current.case,
            current.assessment.options,
            self._ranked[number],
            self._foreseen,
            self._figures,
        )
        self.query_one(HangingText).show(lines)
        self.query_one("#reasons").scroll_home(animate=False)

    def action_figures(self) -> None:
        """Show the weights behind the words, or the words again."""
        self._figures = not self._figures
        marked = self.query_one(RowList).highlighted
        if marked is not None:
            self._show_reasons(marked)

    def spoken_actions(self) -> Iterator[tuple[str, str]]:
        """Look at any cause by its title."""
        for number, item in enumerate(self._ranked):
            yield f"Look at: {self.case.rules.causes[item.cause].title}", f"mark({number})"

    def action_mark(self, number: int) -> None:
        """Mark the cause at a position."""
        self.query_one(RowList).highlighted = number

    def action_page(self, by: int) -> None:
        """Scroll the reasons by pages."""
        scroll_page(self.query_one("#reasons"), by)
