"""The line that says that a key does nothing here, over the footer of the screen on top."""

from __future__ import annotations

from typing import Any

from textual.screen import Screen
from textual.widgets import Static

_SECONDS = 5.0


class WrongKey(Static):
    """Says which keys there are; it goes with the next key, or by itself."""

    DEFAULT_CSS = """
    WrongKey {
        dock: bottom;
        height: 1;
        padding: 0 1;
        background: $panel;
        color: $warning;
        text-style: bold;
        text-wrap: nowrap;
    }
    """

    def on_mount(self) -> None:
        """Give the place back after a while."""
        self.set_timer(_SECONDS, self.remove)


async def say_wrong_key(screen: Screen[Any]) -> None:
    """Say that the key just pressed does nothing on `screen`, and which do."""
    said = "No such key here:"
    for key in _keys(screen):
        if len(said) + len(key) + 3 > screen.size.width:
            break
        said += f" {key}"
    await screen.mount(WrongKey(said, markup=False))


def _keys(screen: Screen[Any]) -> list[str]:
    """The letters, figures and signs that do something on a screen, answers first."""
    shown: dict[str, bool] = {}
    for active in screen.active_bindings.values():
        key = screen.app.get_key_display(active.binding)
        if active.enabled and len(key) == 1 and key.isascii():
            shown.setdefault(key, active.binding.description == "Answer")
    return sorted(shown, key=lambda key: not shown[key])
