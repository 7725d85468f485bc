"""Pick one of a few, by its key or by touch."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.widgets import Static

from diagnose.case.events import Event
from tui.dialogs.base import CardDialog
from tui.plain.offers import Offer
from tui.services.shell import Shell
from tui.widgets.key_button import KeyButton
from tui.widgets.key_footer import KeyFooter

PICK_KEYS = "123456789abcdefgijklmnopqrstuvwxyz"


class PickScreen(CardDialog[str | None]):
    """Asks `title` and returns the value picked, or None. `choices` are (key, value, label).

    Lines of `text` stand under the title.
    """

    CSS_PATH = "pick_screen.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        *(
            Binding(key, f"pick({key!r})", "Pick", show=False)
            for key in (*PICK_KEYS, "h", "question_mark")
        ),
        Binding("down", "app.focus_next", "Next", show=False),
        Binding("up", "app.focus_previous", "Previous", show=False),
    ]

    def __init__(
        self, title: str, choices: Sequence[tuple[str, str, str]], text: Sequence[str] = ()
    ) -> None:
        super().__init__()
        self._title, self._text = title, text
        self._choices = list(choices)

    def compose(self) -> ComposeResult:
        """The question and a button per choice."""
        with Vertical(id="box"):
            yield Static(self._title, id="title", markup=False)
            with VerticalScroll(can_focus=False):
                for line in self._text:
                    yield Static(line, classes="text", markup=False)
                for key, _, label in self._choices:
                    yield KeyButton(key, label)
        yield KeyFooter()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Only the keys of the choices work."""
        if action == "pick":
            return any(key == _typed(str(parameters[0])) for key, _, _ in self._choices)
        return True

    def spoken_actions(self) -> Iterator[tuple[str, str]]:
        """Pick any choice by name."""
        for key, _, label in self._choices:
            yield label, f"pick({key!r})"

    def on_key_button_pressed(self, message: KeyButton.Pressed) -> None:
        """A button was touched."""
        self.action_pick(message.key)

    def action_pick(self, key: str) -> None:
        """Return the value of the choice under a key."""
        self.dismiss(next(value for k, value, _ in self._choices if k == _typed(key)))


async def pick_offer(shell: Shell, title: str, offers: Sequence[Offer]) -> Event | None:
    """Inside a flow: ask `title`. Returns the event of the offer picked, or None."""
    return picked_event(offers, await shell.ask(PickScreen(title, offer_choices(offers))))


def offer_choices(offers: Sequence[Offer]) -> list[tuple[str, str, str]]:
    """Offers as choices for a `PickScreen`; `picked_event` reads what comes back."""
    return [(offer.key, offer.key, offer.label) for offer in offers]


def picked_event(offers: Sequence[Offer], key: str | None) -> Event | None:
    """The event of the offer under a key."""
    return next((offer.event for offer in offers if offer.key == key), None)


def numbered(choices: Sequence[tuple[str, str]]) -> list[tuple[str, str, str]]:
    """(value, label) pairs as choices for a `PickScreen`; keys are digits, then letters."""
    return [(key, value, label) for key, (value, label) in zip(PICK_KEYS, choices, strict=False)]


def _typed(key: str) -> str:
    return "?" if key == "question_mark" else key
