"""A short list of cases to look at."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.widgets import OptionList, Static

from tui.dialogs.base import CardScreen
from tui.widgets.key_footer import KeyFooter
from tui.widgets.row_list import RowList


@dataclass(frozen=True, slots=True)
class ListedRow:
    """A row of two lines: a title, and something about it."""

    title: str
    about: str


class RowsScreen(CardScreen[int | None]):
    """Returns the position of the case picked, or None."""

    CSS_PATH = "rows_screen.tcss"
    AUTO_FOCUS: ClassVar[str | None] = "#rows"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "look", "Look at it", id="rows.look"),
    ]

    def __init__(self, title: str, rows: Sequence[ListedRow]) -> None:
        super().__init__()
        self._title, self._rows = title, rows

    def compose(self) -> ComposeResult:
        """The title and an empty list."""
        yield Static(self._title, id="title", markup=False)
        yield RowList(id="rows")
        yield KeyFooter()

    def on_mount(self) -> None:
        """Fill the list and mark its first row."""
        self.query_one(RowList).show_rows(
            Content.assemble((row.title, "bold"), f"\n   {row.about}") for row in self._rows
        )
        self.query_one(RowList).highlighted = 0

    def spoken_actions(self) -> Iterator[tuple[str, str]]:
        """Look at any case by its title."""
        for number, row in enumerate(self._rows):
            yield f"Look at: {row.title}", f"look_at({number})"

    def on_option_list_option_selected(self, message: OptionList.OptionSelected) -> None:
        """Enter or a touch on a row."""
        self.dismiss(message.option_index)

    def action_look(self) -> None:
        """Return the position of the row marked."""
        self.dismiss(self.query_one(RowList).highlighted)

    def action_look_at(self, number: int) -> None:
        """Return the position of a row."""
        self.dismiss(number)
