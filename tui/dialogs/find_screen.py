"""Pick one of many by typing a part of its name."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.widgets import Static

from tui.dialogs.base import CardScreen
from tui.widgets.key_footer import KeyFooter
from tui.widgets.search_list import SearchList, SearchRow
from tui.widgets.word_box import CardInput


class FindScreen(CardScreen[str | None]):
    """Asks `question` over `rows` and returns the value picked, or None."""

    CSS_PATH = "find_screen.tcss"
    AUTO_FOCUS: ClassVar[str | None] = "CardInput"

    def __init__(self, question: str, rows: Sequence[SearchRow]) -> None:
        super().__init__()
        self._question, self._rows = question, list(rows)

    def compose(self) -> ComposeResult:
        """Question, box and rows."""
        yield Static(self._question, id="question", markup=False)
        yield SearchList("Type a part of its name", "Nothing like it; try another word.")
        yield KeyFooter()

    def on_mount(self) -> None:
        """Show every row until something is typed."""
        self.query_one(SearchList).show_rows(self._rows)

    def spoken_actions(self) -> Iterator[tuple[str, str]]:
        """Pick any row by name."""
        for row in self._rows:
            if row.value:
                yield str(row.look), f"pick({row.value!r})"

    def on_search_list_chosen(self, message: SearchList.Chosen) -> None:
        """Return the value of the row picked."""
        self.dismiss(message.value)

    def action_pick(self, value: str) -> None:
        """Return the value of a row."""
        self.dismiss(value)

    def action_leave(self) -> None:
        """Empty the box first, then go back."""
        box = self.query_one(CardInput)
        if box.value:
            box.value = ""
        else:
            self.dismiss(None)
