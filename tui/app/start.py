"""Where the program opens: a case can be started at once, on assumptions marked as such."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Grid, Vertical
from textual.widgets import Footer, Static

from tui.dialogs.base import CardScreen
from tui.widgets.key_button import KeyButton

_CHOICES = {
    "n": ("new_case", "New complaint (or Enter)"),
    "b": ("pick_bike", "Bike: pick or add one"),
    "c": ("look_cases", "Cases: look, go on"),
    "o": ("open_case", "Open a case file"),
    "e": ("examples", "Example cases: look at one"),
    "t": ("harsh", "Tyre or damping, worked out"),
    "l": ("learn", "Learn: lessons, practice, exams"),
}


class StartScreen(CardScreen[None]):
    """Start, resume or look at a case; pick or add a bike."""

    CSS_PATH = "start.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("n,enter", "app.new_case", "New", tooltip="Start a case", id="case.new"),
        Binding("b", "app.pick_bike", "Bike", tooltip="Pick or add a bike", id="bike.pick"),
        Binding("c", "app.look_cases", "Cases", tooltip="Cases that are kept", id="case.list"),
        Binding("o", "app.open_case", "Open", tooltip="Open a case file", id="case.open"),
        Binding(
            "e", "app.examples", "Examples", tooltip="Worked example cases", id="case.examples"
        ),
        Binding("t", "app.harsh", "Tyre?", tooltip="Tyre or damping, worked out", id="harsh.open"),
        Binding("l", "app.learn", "Learn", tooltip="Lessons, practice and exams", id="learn.open"),
        Binding("q", "app.quit", "Quit", tooltip="Leave the program", id="quit"),
        Binding("escape", "nothing", "Back", show=False),
        Binding("down", "app.focus_next", "Next", show=False),
        Binding("up", "app.focus_previous", "Previous", show=False),
    ]

    def compose(self) -> ComposeResult:
        """What can be done, a button each."""
        with Vertical(id="card"):
            yield Static("badride", id="name")
            yield Static(
                "From a bad ride to its cause, its correction and a ride that proves it.",
                id="job",
            )
            yield Static("", id="bike", markup=False)
            with Grid(id="choices"):
                for key, (_, label) in _CHOICES.items():
                    yield KeyButton(key, label)
            yield Static("", id="status", markup=False)
        yield Footer(show_command_palette=False)

    def on_mount(self) -> None:
        """Say what bike a case would start on."""
        self.show_case()

    def on_screen_resume(self) -> None:
        """The bike and the cases may have been changed meanwhile."""
        self.show_case()

    def show_case(self) -> None:
        """Show the bike, the rule base and where things are kept."""
        self.query_one("#bike", Static).update(f"Bike: {self.card_app.bike_words()}")
        self.query_one("#status", Static).update(self.card_app.status_words())
        if self.is_current:
            self.card_app.count_open(self.show_open)

    def show_open(self, count: int) -> None:
        """Show how many cases are open."""
        more = f" ({count} open)" if count else ""
        for button in self.query(KeyButton):
            if button.key == "c":
                button.show("c", _CHOICES["c"][1] + more)

    def action_nothing(self) -> None:
        """There is no screen before this one."""

    async def on_key_button_pressed(self, message: KeyButton.Pressed) -> None:
        """A button was touched."""
        await self.run_action(f"app.{_CHOICES[message.key][0]}")
