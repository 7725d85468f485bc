"""The score of a finished case, measure by measure in words."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import OptionList, Static

from diagnose.training.customers.guide import Guide
from diagnose.training.words.review_words import (
    measure_lines,
    outcome_lines,
    share_word,
    verdict_line,
)
from tui.dialogs.base import CardScreen, glyphs_of
from tui.dialogs.read_screen import ReadScreen
from tui.training.screens.review_screen import ReviewScreen
from tui.widgets.action_pad import ActionPad, Does
from tui.widgets.hanging_text import HangingText
from tui.widgets.key_footer import KeyFooter
from tui.widgets.keyed import keyed
from tui.widgets.row_list import RowList
from tui.widgets.text_lines import scroll_page

_BAR = 12
_PAD = (
    Does("w", "Review step by step", "review"),
    Does("Enter", "What it means", "meaning"),
    Does("Esc", "Back", "leave"),
)


class ScoreScreen(CardScreen[None]):
    """Enter says what a measure means; the review is one key away. `news` is what it led to."""

    CSS_PATH = "score_screen.tcss"
    AUTO_FOCUS: ClassVar[str | None] = "#measures"
    BINDINGS: ClassVar[list[BindingType]] = [
        keyed("w", "review", "Go through it step by step", "Review", id="score.review"),
        Binding("enter", "meaning", "Meaning", tooltip="What the measure marked means",
                id="score.meaning"),
        Binding("pagedown", "scroll(1)", "More text", show=False, id="score.more"),
        Binding("pageup", "scroll(-1)", "Text above", show=False, id="score.less"),
    ]  # fmt: skip

    def __init__(
        self,
        document: Mapping[str, Any],
        guide: Guide,
        titles: Mapping[str, str],
        news: Sequence[str],
    ) -> None:
        super().__init__()
        self._document, self._guide, self._titles = document, guide, titles
        self._news = news
        self._measures: Sequence[Mapping[str, Any]] = document["score"]["measures"]
        self._widest = max(len(measure["title"]) for measure in self._measures)

    def compose(self) -> ComposeResult:
        """The verdict, the measures, what it led to."""
        verdict = verdict_line(self._document, self._guide)
        yield Static(verdict, id="verdict", markup=False)
        with VerticalScroll(id="outcome", can_focus=False):
            yield HangingText(id="came")
        yield RowList(id="measures")
        yield HangingText(id="news")
        yield ActionPad(_PAD, columns=3)
        yield KeyFooter()

    def on_mount(self) -> None:
        """Show the outcome, the news and the measures."""
        self.query_one("#came", HangingText).show(
            outcome_lines(self._document, self._titles, self._guide)
        )
        news = self.query_one("#news", HangingText)
        news.show([" ".join(self._news)])
        news.display = bool(self._news)
        self.show_case()

    def show_case(self) -> None:
        """Draw again: targets may have become large or small."""
        rows = self.query_one(RowList)
        marked = rows.highlighted or 0
        rows.show_rows(map(self._row, self._measures))
        rows.highlighted = marked

    def _row(self, measure: Mapping[str, Any]) -> Content:
        full, empty = glyphs_of(self.app).bar(measure["share"], _BAR)
        lost = f"   step {', '.join(map(str, measure['steps']))}" if measure["steps"] else ""
        return Content.assemble(
            (f"{measure['title']:<{self._widest}}  ", "bold"),
            (full, "$primary"),
            (empty, "dim"),
            f"  {share_word(measure['share'], self._guide.scoring.pass_mark):<9}  ",
            f"{measure['points']:4.1f} of {measure['out_of']:<3.0f}",
            lost,
        )

    def spoken_actions(self) -> Iterator[tuple[str, str]]:
        """Show what any measure means."""
        for number, measure in enumerate(self._measures):
            yield f"What it means: {measure['title']}", f"meaning_of({number})"

    def on_option_list_option_selected(self, message: OptionList.OptionSelected) -> None:
        """Enter or a touch on a measure."""
        self.action_meaning_of(message.option_index)

    def action_scroll(self, by: int) -> None:
        """Scroll what came of it by pages."""
        scroll_page(self.query_one("#outcome"), by)

    def action_meaning(self) -> None:
        """Show what the measure marked means."""
        self.action_meaning_of(self.query_one(RowList).highlighted or 0)

    def action_meaning_of(self, number: int) -> None:
        """Show what the measure at a position means."""
        measure = self._measures[number]
        self.app.push_screen(
            ReadScreen(measure["title"], list(measure_lines(measure, self._guide)))
        )

    def action_review(self) -> None:
        """Go through it step by step."""
        if self._document["review"]:
            self.app.push_screen(ReviewScreen(self._document, self._titles))
        else:
            self.notify("No step was taken.")
