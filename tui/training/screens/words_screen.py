"""The words of a unit, each with what it means, and with its drawing where it has one."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.widgets import Static

from diagnose.training.course.course import CourseUnit
from rules.rulebase import RuleBase
from tui.dialogs.search_screen import SearchScreen
from tui.interview.drawing_screen import DrawingScreen
from tui.widgets.key_footer import KeyFooter
from tui.widgets.search_list import SearchList, SearchRow

_WORD = 26


class WordsScreen(SearchScreen[None]):
    """Enter or d shows the drawing of the word marked."""

    CSS_PATH = "words_screen.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter,d", "look", "Drawing", tooltip="Show the drawing of the word marked",
                id="words.drawing", key_display="d"),
    ]  # fmt: skip

    def __init__(self, unit: CourseUnit, rules: RuleBase) -> None:
        super().__init__()
        self._unit, self._rules = unit, rules

    def compose(self) -> ComposeResult:
        """The title, the words, what the one marked means."""
        drawn = f"{len(self._unit.drawn)} of {len(self._unit.words)} have a drawing"
        yield Static(f"{self._unit.title}: the words; {drawn}.", id="title", markup=False)
        yield SearchList("Press / and type a word", "No word like it.", id="list")
        yield Static("", id="meaning", markup=False)
        yield KeyFooter()

    def on_mount(self) -> None:
        """Show the words and give them the keys."""
        self.query_one(SearchList).take_keys()
        self.show_case()

    def show_case(self) -> None:
        """Draw again: targets may have become large or small."""
        rows = []
        for word, means in self._unit.words.items():
            drawn = "d drawing" if word in self._unit.drawn else ""
            rows.append(SearchRow(word, f"{word:<{_WORD}}{drawn}", f"{word} {means}"))
        self.query_one(SearchList).show_rows(rows)

    def spoken_actions(self) -> Iterator[tuple[str, str]]:
        """Show any drawing by its word."""
        for word in self._unit.drawn:
            yield f"Drawing: {word}", f"look_at({word!r})"

    def on_search_list_marked(self, message: SearchList.Marked) -> None:
        """Say what the word marked means."""
        means = self._unit.words[message.value]
        self.query_one("#meaning", Static).update(f"{message.value}: {means}")

    def action_look_at(self, value: str) -> None:
        """Show the drawing of a word."""
        picture = self._unit.drawn.get(value)
        if picture is None:
            self.notify(f"There is no drawing of {value!r}; what it means stands below.")
        else:
            drawing = DrawingScreen(self._rules.pictures[picture], self._rules.drawings[picture])
            self.app.push_screen(drawing)
