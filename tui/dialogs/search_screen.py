"""A screen around one list that is searched as you type."""

from __future__ import annotations

from tui.dialogs.base import CardScreen, Result
from tui.widgets.search_list import SearchList


class SearchScreen(CardScreen[Result]):
    """Enter or a touch on a row, and the action `look`, lead to `action_look_at` with its value."""

    def action_look_at(self, value: str) -> None:
        """Do what a row is there for."""
        raise NotImplementedError

    @property
    def marked(self) -> str | None:
        """The value of the row marked."""
        return self.query_one(SearchList).marked

    def on_search_list_chosen(self, message: SearchList.Chosen) -> None:
        """Enter or a touch on a row."""
        self.action_look_at(message.value)

    def action_look(self) -> None:
        """Do what the row marked is there for."""
        if self.marked is not None:
            self.action_look_at(self.marked)

    def action_search(self) -> None:
        """Type to narrow the list."""
        self.query_one(SearchList).action_search()

    def action_leave(self) -> None:
        """End the search first; without one leave the screen."""
        if self.query_one(SearchList).is_searching:
            self.query_one(SearchList).stop_searching()
        else:
            self.leave()

    def leave(self) -> None:
        """Leave the screen without a result."""
        self.dismiss(None)
