"""When the complaint shows: the phases of riding, of which any or none may be marked."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widgets import Footer, Static

from diagnose.case.events import Answered
from rules.rulebase import RuleBase
from tui.dialogs.base import CardScreen
from tui.widgets.key_button import KeyButton

_KEYS = "abcdefgijklmnopqrstuvwxyz"


class PhaseScreen(CardScreen[tuple[Answered, ...] | None]):
    """Returns an answer for every phase marked; what is not marked stays open."""

    CSS_PATH = "phase_screen.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        *(Binding(key, f"mark({key!r})", "Mark", show=False) for key in _KEYS),
        Binding("enter", "go_on", "Go on", id="phases.go"),
        Binding("down", "app.focus_next", "Next", show=False),
        Binding("up", "app.focus_previous", "Previous", show=False),
    ]

    def __init__(self, rules: RuleBase, phases: tuple[str, ...]) -> None:
        super().__init__()
        self._rules = rules
        self._phases = dict(zip(_KEYS, phases, strict=False))
        self._marked: set[str] = set()

    def compose(self) -> ComposeResult:
        """Question, a button per phase, and the way on."""
        yield Static("When does it show? Mark any, then Enter. None is fine.", id="question")
        with VerticalScroll(id="phases", can_focus=False):
            for key in self._phases:
                yield KeyButton(key, self._label(key), id=f"phase-{key}")
        yield KeyButton("Enter", "Go on", id="go")
        yield Footer(show_command_palette=False)

    def _label(self, key: str) -> str:
        mark = "(yes)" if key in self._marked else "(   )"
        return f"{mark} {self._rules.observations[self._phases[key]].ask}"

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Only the keys of the phases work."""
        return action != "mark" or parameters[0] in self._phases

    def spoken_actions(self) -> Iterator[tuple[str, str]]:
        """Mark any phase by its name."""
        for key, phase in self._phases.items():
            yield self._rules.observations[phase].ask, f"mark({key!r})"

    def on_key_button_pressed(self, message: KeyButton.Pressed) -> None:
        """A button was touched."""
        if message.key == "Enter":
            self.action_go_on()
        else:
            self.action_mark(message.key)

    def action_mark(self, key: str) -> None:
        """Mark a phase, or take the mark away."""
        self._marked ^= {key}
        self.query_one(f"#phase-{key}", KeyButton).show(key, self._label(key))

    def action_go_on(self) -> None:
        """Return an answer for each phase marked."""
        marked = [phase for key, phase in self._phases.items() if key in self._marked]
        self.dismiss(tuple(Answered(phase, state="yes") for phase in marked))
