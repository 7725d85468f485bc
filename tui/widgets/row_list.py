"""A list of one-line rows, two lines each where targets are to be large."""

from __future__ import annotations

from collections.abc import Collection, Iterable

from textual.content import Content
from textual.widgets import OptionList
from textual.widgets.option_list import Option


class RowList(OptionList):
    """Rows are cut off at the edge, not wrapped, so that each can be found at a glance."""

    DEFAULT_CSS = """
    RowList {
        height: 1fr;
        padding: 0 1;
        border: none;
        background: $background;
        scrollbar-size-vertical: 1;
        text-wrap: nowrap;
        text-overflow: ellipsis;
    }
    RowList:focus { border: none; }
    RowList > .option-list--option-highlighted,
    RowList:focus > .option-list--option-highlighted {
        background: $primary;
        color: $background;
        text-style: bold underline;
    }
    """

    def __init__(self, id: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id, markup=False)

    def move(self, by: int) -> None:
        """Move the mark down (1) or up (-1)."""
        if by > 0:
            self.action_cursor_down()
        else:
            self.action_cursor_up()

    def change_row(self, number: int, row: Content) -> None:
        """Show a row anew in its place; the mark stays where it is."""
        after = Content("\n ") if self.app.has_class("-large") else Content("")
        self.replace_option_prompt_at_index(number, Content.assemble(row, after))

    def show_rows(
        self,
        rows: Iterable[Content | str],
        closing: str = "",
        headings: Collection[int] = (),
    ) -> None:
        """Show these rows, and a `closing` line that cannot be picked, nor can the `headings`."""
        large = self.app.has_class("-large")
        # vertical padding of options is not counted in their height by the base class
        after = Content("\n ") if large else Content("")
        contents = [Content(row) if isinstance(row, str) else row for row in rows]
        self.clear_options()
        self.add_options(
            Option(Content.assemble(row, after), disabled=number in headings)
            for number, row in enumerate(contents)
        )
        if closing:
            self.add_option(Option(closing, disabled=True))
