"""The bikes that are kept: find one, look at it, begin the next case on it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import ClassVar, Protocol

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.widgets import Static

from diagnose.records.bikes.bike import Bike
from diagnose.records.bikes.bike_book import BikeRow
from tui.dialogs.search_screen import SearchScreen
from tui.services.shell import LOOKS
from tui.widgets.action_pad import ActionPad, Does
from tui.widgets.key_footer import KeyFooter
from tui.widgets.keyed import keyed
from tui.widgets.search_list import SearchList, SearchRow

_NAME = 40
_HEAD = f"{'':2}{'Bike':<{_NAME}}  {'open':>4}  {'cases':>5}  changed"
_NONE_YET = "\n  [a]  Add the first bike\n\n  [o]  Bring one in from a file"
_PAD = (
    Does("Enter", "Look", "look"),
    Does("b", "Pick", "pick"),
    Does("g", "Begin a case", "begin"),
    Does("a", "Add", "add"),
    Does("e", "Edit", "edit"),
    Does("/", "Search", "search"),
    Does("z", "Put away too", "archived"),
    Does("o", "From file", "bring_in"),
)


class BikeLister(Protocol):
    """Finds bikes and opens them."""

    @property
    def picked(self) -> Bike:
        """The bike that the next case is on."""

    async def find(self) -> Sequence[BikeRow]:
        """Every bike, archived ones too. Raises `BadInput`."""

    def look_at(self, name: str) -> None:
        """Show the page of a bike."""

    def take(self, name: str, *, begin: bool) -> None:
        """Make this the bike of the next case; with `begin` begin that now."""

    def add(self) -> None:
        """Fill in the form of a new bike; the list is then shown again, as after the next two."""

    def edit(self, name: str) -> None:
        """Fill in the form of a bike."""

    def bring_in(self) -> None:
        """Bring a bike in from a file."""


class BikesScreen(SearchScreen[None]):
    """Every bike; archived ones only where they are asked for."""

    CSS_PATH = "bike_list.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "look", "Look at it", tooltip="Look at the bike marked", id="bikes.look"),
        keyed("b", "pick", "The next case is on it", "Pick", id="bikes.pick"),
        keyed("g", "begin", "Begin a case on it", "Begin", id="bikes.begin"),
        keyed("a", "add", "Add a bike", id="bikes.add", show=False),
        keyed("e", "edit", "Edit the bike marked", "Edit", id="bikes.edit", show=False),
        keyed("z", "archived", "Bikes put away too, or not", "Put away too", id="bikes.archived",
              show=False),
        keyed("o", "bring_in", "Bring a bike in from a YAML file", "From file",
              id="bikes.import", show=False),
    ]  # fmt: skip

    def __init__(self, lister: BikeLister, rows: Sequence[BikeRow], *, keeps: bool) -> None:
        """Opens with `rows`. With `keeps` off the title says that nothing outlives the program."""
        super().__init__()
        self._lister, self._rows, self._keeps = lister, rows, keeps
        self._with_archived = False

    def compose(self) -> ComposeResult:
        """Head, box, rows, buttons."""
        yield Static("Bikes", id="title", markup=False)
        yield SearchList("Press / and type to search", "", _HEAD, id="bikes")
        yield ActionPad(_PAD, columns=4)
        yield KeyFooter()

    def on_mount(self) -> None:
        """Show the list, with the bike picked marked."""
        self.query_one(SearchList).take_keys()
        self._show(self._lister.picked.name)

    def on_screen_resume(self) -> None:
        """A bike may have changed while another screen was on top."""
        self.look_up(self._lister.find, self._show_found)

    def _show_found(self, rows: Sequence[BikeRow]) -> None:
        self._rows = rows
        self._show(None)

    def show_case(self) -> None:
        """Draw again: targets may have become large or small."""
        self._show(None)

    # -- showing ---------------------------------------------------------------------------------

    def show_rows(self, rows: Sequence[BikeRow], mark: str) -> None:
        """Show these bikes, the one called `mark` marked."""
        # a look-up that is under way may be older than these rows
        self.workers.cancel_group(self, LOOKS)
        self._rows = rows
        self._show(mark)

    def _show(self, mark: str | None) -> None:
        shown = [row for row in self._rows if self._with_archived or not row.archived]
        hidden = sum(row.archived for row in self._rows)
        title = f"Bikes: {len(shown)}"
        if hidden and not self._with_archived:
            title += f", and {hidden} put away (z)"
        if not self._keeps:
            title += ". Nothing outlives the program: there is no store"
        self.query_one("#title", Static).update(title)
        bikes = self.query_one(SearchList)
        none = "No such bike." if shown else "All are put away: [z]"
        bikes.say_when_empty(none if shown or hidden else _NONE_YET)
        bikes.show_rows([self._row(row) for row in shown], mark)

    def _row(self, row: BikeRow) -> SearchRow:
        picked = ">" if row.name == self._lister.picked.name else " "
        name = f"{row.name} (put away)" if row.archived else row.name
        look = Content.assemble(
            f"{picked} ",
            (f"{name:<{_NAME}}", "bold"),
            f"  {row.open_cases or '':>4}  {row.cases or '':>5}  {row.changed.isoformat()}",
        )
        return SearchRow(row.name, look, row.name)

    def spoken_actions(self) -> Iterator[tuple[str, str]]:
        """Look at any bike by its name."""
        for row in self._rows:
            yield f"Look at: {row.name}", f"look_at({row.name!r})"

    # -- keys ------------------------------------------------------------------------------------

    def action_look_at(self, value: str) -> None:
        """Show the page of a bike, by its name."""
        self._lister.look_at(value)

    def action_pick(self) -> None:
        """Make the bike marked that of the next case."""
        self._take(begin=False)

    def action_begin(self) -> None:
        """Begin a case on the bike marked."""
        self._take(begin=True)

    def _take(self, *, begin: bool) -> None:
        if self.marked is not None:
            self._lister.take(self.marked, begin=begin)

    def action_add(self) -> None:
        """Fill in the form of a new bike."""
        self._lister.add()

    def action_edit(self) -> None:
        """Edit the bike marked."""
        if self.marked is not None:
            self._lister.edit(self.marked)

    def action_bring_in(self) -> None:
        """Bring a bike in from a file."""
        self._lister.bring_in()

    def action_archived(self) -> None:
        """Show archived bikes too, or not."""
        self._with_archived = not self._with_archived
        self._show(None)
