"""The first screen: a case can be started at once, on assumptions that are marked as such."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Grid, Vertical
from textual.widgets import Static

from diagnose.words.chances import counted
from tui.dialogs.base import CardScreen
from tui.services.shop import Shop, short_place
from tui.widgets.key_button import KeyButton
from tui.widgets.key_lines import KeyFooter
from tui.widgets.keyed import keyed

if TYPE_CHECKING:
    from tui.app.rooms import Rooms

_CHOICES = {
    "Enter": "New complaint",
    "b": "Bikes",
    "c": "Cases",
    "t": "Tyre or damping",
    "l": "Learn",
    "o": "Open a case file",
    "k": "Example job cards",
    "a": "Add what your shop knows",
    "e": "Who asks",
}


class StartScreen(CardScreen[None]):
    """A button for each thing that the program can do, and where it keeps what is entered."""

    CSS_PATH = "start.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "open('Enter')", "New complaint", tooltip="Begin a case", id="case.new"),
        keyed("b", "open('b')", "Pick or add a bike", id="bike.pick"),
        keyed("c", "open('c')", "Cases that are kept", id="case.list"),
        keyed("t", "open('t')", "Tyre or damping, worked out", id="harsh.open"),
        keyed("l", "open('l')", "Lessons, practice and exams", id="learn.open"),
        keyed("o", "open('o')", "Open a case file", id="case.open"),
        keyed("k", "open('k')", "Job cards of worked example cases", "Examples",
              id="case.examples", show=False),
        keyed("a", "open('a')", "Add what your shop knows to its own pack", "Add", id="shop.add",
              show=False),
        keyed("e", "open('e')", "Who asks: workshop, home or trail", "Who asks", id="who",
              show=False),
        keyed("q", "app.quit", "Leave the program", id="quit"),
        Binding("escape", "nothing", "Back", show=False),
        Binding("down", "app.focus_next", "Next", show=False),
        Binding("up", "app.focus_previous", "Previous", show=False),
    ]  # fmt: skip

    def __init__(self, rooms: Callable[[], Rooms], shop: Shop) -> None:
        """`rooms` are asked for only once the shop is open: they take time to load."""
        super().__init__()
        self._rooms, self._shop = rooms, shop

    def _opens(self) -> dict[str, Callable[[], None]]:
        rooms = self._rooms()
        return {
            "Enter": rooms.new_case,
            "b": rooms.bikes.list,
            "c": rooms.kept.list,
            "o": rooms.kept.open_file,
            "k": rooms.kept.look_at_examples,
            "t": rooms.open_harshness,
            "l": rooms.open_training,
            "a": rooms.open_adding,
            "e": rooms.next_person,
        }

    def compose(self) -> ComposeResult:
        """Name, bike, a button for each thing that can be done, and the rule base."""
        with Vertical(id="card"):
            yield Static("badride", id="name")
            yield Static(
                "From a bad ride to its cause, its correction and a ride that proves it.",
                id="job",
            )
            yield Static("", id="bike", markup=False)
            with Grid(id="choices"):
                for key, label in _CHOICES.items():
                    yield KeyButton(key, label)
            yield Static("", id="status", markup=False)
        yield KeyFooter()

    def on_screen_resume(self) -> None:
        """The bike and the cases may have changed while another screen was on top."""
        self.show_case()

    def show_case(self) -> None:
        """Show the bike, the rule base and where things are kept."""
        shop = self._shop
        if not shop.is_open:
            self._say("loading the rule base ...", "Loading; keys typed now are not lost.")
            return
        from diagnose.words.bike_words import bike_line  # noqa: PLC0415  # slow; not before painting

        bike = self._rooms().bikes.picked
        self._show_person()
        self._say(
            bike_line(shop.rules, bike.machine, bike.name),
            status_words(shop, for_guest=self.app.is_web),
        )
        self.look_up(self._rooms().kept.open_ones, self._show_count)

    def _say(self, bike: str, status: str) -> None:
        self.query_one("#bike", Static).update(f"Bike: {bike}")
        self.query_one("#status", Static).update(status)

    def _show_count(self, count: int) -> None:
        more = f" ({count} open)" if count else ""
        for button in self.query(KeyButton):
            if button.key == "c":
                button.show("c", _CHOICES["c"] + more)

    def _show_person(self) -> None:
        policy = self._shop.rules.policy
        for button in self.query(KeyButton):
            if button.key == "e":
                button.show("e", f"{_CHOICES['e']}: {self._people()}")
                button.display = bool(policy.people)

    def _people(self) -> str:
        """Everyone who can ask, the present one marked: `[in a workshop] in a home garage`."""
        from diagnose.words.titles import lowered  # noqa: PLC0415

        policy = self._shop.rules.policy
        now = policy.person(self._shop.person)
        titles = [(one, lowered(one.title)) for one in policy.people.values()]
        return "  ".join(f"[{title}]" if one == now else title for one, title in titles)

    def action_nothing(self) -> None:
        """There is no screen before this one."""

    def action_open(self, key: str) -> None:
        """Open what the key stands for."""
        self._opens()[key]()

    def on_key_button_pressed(self, message: KeyButton.Pressed) -> None:
        """A button was touched."""
        self.action_open(message.key)


def status_words(shop: Shop, *, for_guest: bool = False) -> str:
    """What the program works from, and where it keeps what is entered; no path is told a guest."""
    base = shop.rules.title
    if len(shop.rules.packs) < 2:
        base += f", version {shop.rules.info.version}"
    cases = counted(shop.taught_by, "proven case")
    taught = f"; taught by {cases}" if shop.taught_by else ""
    known = f"{base}: {len(shop.rules.causes)} causes{taught}."
    if not shop.keeps:
        return f"{known}\nNothing is kept: what you enter is gone when the program ends."
    place = "the computer that serves this page" if for_guest else short_place(shop.store.place)
    return f"{known}\nEvery answer is kept at once in {place}"
