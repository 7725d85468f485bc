"""A button that shows the key it stands for."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.content import Content
from textual.message import Message
from textual.widgets import Static


class KeyButton(Static, can_focus=True):
    """`[y] Yes`: pressed by its key (the screen sees to that), a click, a touch or Enter."""

    DEFAULT_CSS = """
    KeyButton {
        height: 1;
        width: 1fr;
        padding: 0 1;
        background: $panel;
        color: $foreground;
        text-wrap: nowrap;
        text-overflow: ellipsis;
        content-align: left middle;
    }
    KeyButton:hover { background: $primary 30%; }
    KeyButton:focus { background: $primary; color: $background; text-style: bold underline; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "press", "Press", show=False, id="button.press"),
    ]

    @dataclass
    class Pressed(Message):
        """The button was pressed."""

        key: str

    def __init__(self, key: str = "", label: str = "", id: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id, markup=False)
        self.key = key
        self.label = label

    def on_mount(self) -> None:
        """Show the first label."""
        self.show(self.key, self.label)

    def show(self, key: str, label: str) -> None:
        """Show another key and label."""
        self.key, self.label = key, label
        self.update(Content.assemble((f"[{key}]", "bold $accent"), f" {label}"))

    def on_click(self) -> None:
        """A click or touch presses."""
        self.action_press()

    def action_press(self) -> None:
        """Send `Pressed` to the screen."""
        self.post_message(self.Pressed(self.key))
