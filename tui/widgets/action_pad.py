"""A button for each thing that can be done on a screen, for those who touch instead of type."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from textual.app import ComposeResult
from textual.containers import Grid

from tui.widgets.key_button import KeyButton


@dataclass(frozen=True, slots=True)
class Does:
    """A key, what it is called, and the action of the screen that it runs."""

    key: str
    label: str
    action: str


class ActionPad(Grid):
    """Buttons in columns; each runs an action of the screen. They cannot take the keys."""

    DEFAULT_CSS = """
    ActionPad { height: auto; grid-gutter: 0 1; grid-rows: auto; padding: 0 1; }
    """

    def __init__(self, does: Sequence[Does], columns: int, id: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id)
        self.does = tuple(does)
        self.styles.grid_size_columns = columns

    def compose(self) -> ComposeResult:
        """A button for each action."""
        for item in self.does:
            button = KeyButton(item.key, item.label)
            # a touch must not take the keys from the list whose row is marked
            button.can_focus = False
            yield button

    def relabel(self, key: str, label: str) -> None:
        """Give the button of a key another label."""
        for button in self.query(KeyButton):
            if button.key == key:
                button.show(key, label)

    async def on_key_button_pressed(self, message: KeyButton.Pressed) -> None:
        """A button was touched."""
        message.stop()
        action = next(item.action for item in self.does if item.key == message.key)
        await self.screen.run_action(action)
