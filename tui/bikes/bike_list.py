"""The bikes that are kept: find one, look at it, begin the next case on it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.widgets import Footer, Static

from diagnose.records.bikes.bike import Bike
from diagnose.records.bikes.bike_book import BikeBook, BikeRow
from diagnose.records.bikes.bike_file import read_bike
from diagnose.records.bikes.bike_journal import BikeEntry
from diagnose.records.store.problems import StoreProblem
from rules.problems import BadInput
from tui.bikes.bike_form import BikeScreen
from tui.bikes.bike_page import BikePage
from tui.bikes.draft import Draft
from tui.dialogs.base import CardScreen
from tui.dialogs.prompt import PromptScreen
from tui.widgets.action_pad import ActionPad, Does
from tui.widgets.search_list import Row, SearchList

_FILE = "bike.yaml"
_NAME = 40
_HEAD = f"{'':2}{'Bike':<{_NAME}}  {'open':>4}  {'cases':>5}  changed"
_PAD = (
    Does("Enter", "Look", "look"),
    Does("p", "Pick", "pick"),
    Does("n", "New case", "begin"),
    Does("a", "Add", "add"),
    Does("e", "Edit", "edit"),
    Does("/", "Search", "search"),
    Does("z", "Archived too", "archived"),
    Does("i", "From file", "bring_in"),
)


@dataclass(frozen=True, slots=True)
class _Refused:
    """A bike file that is sound, under a name that is taken."""

    name: str
    entries: list[BikeEntry]
    problem: str


class BikesScreen(CardScreen[None]):
    """Every bike, archived ones when asked for."""

    CSS_PATH = "bike_list.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "look", "Look at it", tooltip="Look at the bike marked", id="bikes.look"),
        Binding("p", "pick", "Pick", tooltip="The next case is on it", id="bikes.pick"),
        Binding("n", "begin", "New case", tooltip="Begin a case on it", id="bikes.begin"),
        Binding("a", "add", "Add", tooltip="Add a bike", id="bikes.add", show=False),
        Binding("e", "edit", "Edit", tooltip="Edit the bike marked", id="bikes.edit", show=False),
        Binding(
            "z", "archived", "Archived", tooltip="Archived bikes too, or not",
            id="bikes.archived", show=False,
        ),
        Binding(
            "i", "bring_in", "From a file", tooltip="Bring a bike in from a YAML file",
            id="bikes.import", show=False,
        ),
    ]  # fmt: skip

    def __init__(self) -> None:
        super().__init__()
        self._rows: list[BikeRow] = []
        self._with_archived = False

    def compose(self) -> ComposeResult:
        """Head, box, rows, buttons."""
        yield Static("Bikes", id="title", markup=False)
        yield SearchList("Press / and type to search", "", _HEAD, id="bikes")
        yield ActionPad(_PAD, columns=4)
        yield Footer(show_command_palette=False)

    def on_mount(self) -> None:
        """Read the list."""
        self.query_one(SearchList).take_keys()
        self._read(self.card_app.bike.name)

    def show_case(self) -> None:
        """Targets may have become large."""
        self._show(None)

    # -- showing ---------------------------------------------------------------------------------

    def _read(self, mark: str | None = None) -> None:
        book = BikeBook(self.card_app.kept)

        def read(rows: list[BikeRow]) -> None:
            self._rows = rows
            self._show(mark)

        self.card_app.in_background(lambda: book.rows(archived=True), read)

    def _show(self, mark: str | None) -> None:
        shown = [row for row in self._rows if self._with_archived or not row.archived]
        hidden = sum(row.archived for row in self._rows)
        title = f"Bikes: {len(shown)}"
        if hidden and not self._with_archived:
            title += f", and {hidden} archived (z)"
        if not self.card_app.keeps:
            title += ". Nothing outlives the program: there is no store"
        self.query_one("#title", Static).update(title)
        none = "No such bike." if shown else "No bike yet." if not hidden else "All are archived."
        bikes = self.query_one(SearchList)
        bikes.say_when_empty(f"{none} a adds one, i brings one in from a file.")
        bikes.show_rows([self._row(row) for row in shown], mark)

    def _row(self, row: BikeRow) -> Row:
        picked = ">" if row.name == self.card_app.bike.name else " "
        name = f"{row.name} (archived)" if row.archived else row.name
        look = Content.assemble(
            f"{picked} ",
            (f"{name:<{_NAME}}", "bold"),
            f"  {row.open_cases or '':>4}  {row.cases or '':>5}  {row.changed.isoformat()}",
        )
        return Row(row.name, look, row.name)

    def spoken_actions(self) -> Iterator[tuple[str, str]]:
        """Look at any of them."""
        for row in self._rows:
            yield f"Look at: {row.name}", f"look_at({row.name!r})"

    # -- keys ------------------------------------------------------------------------------------

    def on_search_list_chosen(self, message: SearchList.Chosen) -> None:
        """Enter or a touch on a row."""
        self.action_look_at(message.value)

    def action_look(self) -> None:
        """Look at the bike marked."""
        marked = self.query_one(SearchList).marked
        if marked is not None:
            self.action_look_at(marked)

    def action_look_at(self, name: str) -> None:
        """Look at a bike."""

        self.app.push_screen(BikePage(name), lambda _: self._read())

    def action_pick(self) -> None:
        """The next case is on the bike marked."""
        self._with_marked(lambda bike: self.card_app.take_bike(bike, begin=False))

    def action_begin(self) -> None:
        """Begin a case on the bike marked."""
        self._with_marked(lambda bike: self.card_app.take_bike(bike, begin=True))

    def _with_marked(self, then: Callable[[Bike], None]) -> None:
        marked = self.query_one(SearchList).marked
        if marked is not None:
            book = BikeBook(self.card_app.kept)
            self.card_app.in_background(lambda: book.read(marked), then)

    def action_add(self) -> None:
        """Add a bike."""
        draft = Draft.of(Bike(""))
        self.app.push_screen(
            BikeScreen(self.card_app.rules, draft, self.card_app.today), self._edited
        )

    def action_edit(self) -> None:
        """Edit the bike marked."""
        self._with_marked(self._edit)

    def _edit(self, bike: Bike) -> None:
        screen = BikeScreen(self.card_app.rules, Draft.of(bike), self.card_app.today)
        self.app.push_screen(screen, self._edited)

    def _edited(self, draft: Draft | None) -> None:
        if draft is not None:
            self.notify(f"{draft.name} is kept.", markup=False)
            self._read(draft.name)

    def action_search(self) -> None:
        """Type to narrow the list."""
        self.query_one(SearchList).action_search()

    def action_archived(self) -> None:
        """Show archived bikes too, or not."""
        self._with_archived = not self._with_archived
        self._show(None)

    def action_leave(self) -> None:
        """First out of the search, then back."""
        if self.query_one(SearchList).is_searching:
            self.query_one(SearchList).stop_searching()
        else:
            self.dismiss(None)

    # -- files -----------------------------------------------------------------------------------

    def action_bring_in(self) -> None:
        """Bring a bike in from a file."""
        screen = PromptScreen("Which bike file?", "A YAML file as f on a bike writes it.", _FILE)
        self.app.push_screen(screen, self._bring_in)

    def _bring_in(self, name: str | None) -> None:
        if name is None:
            return
        path, rules, today = Path(name).expanduser(), self.card_app.rules, self.card_app.today
        book = BikeBook(self.card_app.kept)

        def read() -> Bike | _Refused:
            return _add(book, *read_bike(rules, path, today))

        self.card_app.in_background(read, self._brought_in)

    def _brought_in(self, result: Bike | _Refused) -> None:
        if isinstance(result, Bike):
            self.notify(f"{result.name} is kept.", markup=False)
            self._read(result.name)
            return
        book = BikeBook(self.card_app.kept)

        def named(name: str | None) -> None:
            if name is not None:
                self.card_app.in_background(
                    lambda: _add(book, name, result.entries), self._brought_in
                )

        hint = f"{result.problem}. Keep it under another name:"
        self.app.push_screen(PromptScreen("What is the bike called?", hint, result.name), named)


def _add(book: BikeBook, name: str, entries: list[BikeEntry]) -> Bike | _Refused:
    """The bike as kept, or why it could not be under this name."""
    try:
        return book.add(name, entries)
    except StoreProblem:
        raise
    except BadInput as error:
        return _Refused(name, entries, str(error))
