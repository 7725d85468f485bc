"""A table with its title and head, drawn to fit its width."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content
from textual.message import Message
from textual.widgets import OptionList, Static

from tui.widgets.row_list import RowList

_SCROLL_BAR = 1


@dataclass(frozen=True, slots=True)
class PanelTable:
    """A head, rows under it, and for each row the line that says all of it."""

    title: str
    head: str
    rows: list[Content]
    details: list[str]
    empty: str


class TablePanel(Vertical):
    """Shows the table that `show` is given, drawn again for every width."""

    # Textual's DataTable scrolls sideways where a row is too wide, and Home and End go sideways too

    DEFAULT_CSS = """
    TablePanel { height: 1fr; }
    TablePanel > .title { height: 1; padding: 0 1; text-style: bold; color: $accent; }
    TablePanel > .head { height: auto; padding: 0 1; color: $text-muted; }
    """

    @dataclass
    class Chosen(Message):
        """A row was picked with Enter or by touch."""

        panel: str
        row: int

    @dataclass
    class Marked(Message):
        """Another row is marked, or none; `detail` is what it says in full."""

        panel: str
        detail: str

    def __init__(self, id: str) -> None:  # noqa: A002
        super().__init__(id=id)
        self._draw: Callable[[int], PanelTable] | None = None
        self._table: PanelTable | None = None

    def compose(self) -> ComposeResult:
        """The title, the head and the rows, empty."""
        yield Static("", classes="title", markup=False)
        yield Static("", classes="head", markup=False)
        yield RowList()

    @property
    def marked(self) -> int | None:
        """The position of the row marked."""
        return self.query_one(RowList).highlighted

    @property
    def detail(self) -> str:
        """What the row marked says in full."""
        table, at = self._table, self.marked
        return table.details[at] if table is not None and at is not None and table.details else ""

    def show(self, draw: Callable[[int], PanelTable]) -> None:
        """Show the table that `draw` makes for a width."""
        self._draw = draw
        self._show()

    def take_keys(self) -> None:
        """Give the keys to the rows."""
        self.query_one(RowList).focus()

    def on_resize(self) -> None:
        """Draw again for another width."""
        self._show()

    def on_option_list_option_selected(self, message: OptionList.OptionSelected) -> None:
        """Enter or a touch on a row."""
        message.stop()
        self.post_message(self.Chosen(self.id or "", message.option_index))

    def on_option_list_option_highlighted(self, message: OptionList.OptionHighlighted) -> None:
        """Another row is marked."""
        message.stop()
        self.post_message(self.Marked(self.id or "", self.detail))

    def on_descendant_focus(self) -> None:
        """Send what the row marked here says."""
        self.post_message(self.Marked(self.id or "", self.detail))

    def _show(self) -> None:
        width = self.size.width - 2 - _SCROLL_BAR
        if self._draw is None or width < 1:
            return
        self._table = table = self._draw(width)
        self.query_one(".title", Static).update(table.title)
        self.query_one(".head", Static).update(table.head if table.rows else "")
        rows = self.query_one(RowList)
        marked = rows.highlighted or 0
        rows.show_rows(table.rows, "" if table.rows else table.empty)
        rows.highlighted = min(marked, len(table.rows) - 1) if table.rows else None
