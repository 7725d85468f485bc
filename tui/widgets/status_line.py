"""The one line in which the program says something that asks for no answer, above the footer."""

from __future__ import annotations

from typing import Any, Literal

from textual.screen import Screen
from textual.widgets import Static

Said = Literal["message", "wrong-key", "working"]
SOON = 0.2
"""Seconds after which the program says that it is working."""
WORKING = "working ..."
_SECONDS = 5.0


class StatusLine(Static):
    """Takes a row of its own, so that it covers nothing, and goes by itself. It belongs to its
    screen and never follows to another."""

    DEFAULT_CSS = """
    StatusLine {
        dock: bottom;
        height: auto;
        max-height: 3;
        margin: 0 0 1 0;
        padding: 0 1;
        background: $panel;
        text-style: bold;
    }
    StatusLine.-warning, StatusLine.-wrong-key { color: $warning; }
    StatusLine.-error { color: $error; }
    StatusLine.-working { color: $text-muted; }
    """

    def __init__(self, text: str, kind: Said, severity: str) -> None:
        super().__init__(text, classes=f"-{kind} -{severity}", markup=False)
        self.kind = kind

    def stay(self, seconds: float) -> None:
        """Go after so many seconds."""
        self.set_timer(seconds, self.remove)


def is_whole(screen: Screen[Any]) -> bool:
    """Whether a screen has all its parts: it is put together, and is not being taken apart, as when
    it is left or the program ends."""
    return screen.is_mounted and screen.is_attached and screen.display


async def say_on(
    screen: Screen[Any],
    text: str,
    kind: Said = "message",
    severity: str = "information",
    seconds: float = _SECONDS,
) -> None:
    """Say something on a screen in place of what was said before. That it is working is not said
    over a message."""
    there = screen.query(StatusLine)
    if kind == "working" and there:
        return
    await there.remove()
    if not is_whole(screen):
        return
    line = StatusLine(text, kind, severity)
    await screen.mount(line)
    if kind != "working":
        line.stay(seconds)


async def unsay(screen: Screen[Any], kind: Said) -> None:
    """Take what was said of this kind off a screen."""
    for line in screen.query(StatusLine):
        if line.kind == kind:
            await line.remove()


async def say_wrong_key(screen: Screen[Any], pressed: str) -> None:
    """Say that the key just `pressed` does nothing on `screen`, and which do."""
    said = f"{pressed} does nothing here. Here:"
    for key in _keys(screen):
        if len(said) + len(key) + 3 > screen.size.width:
            break
        said += f" {key}"
    await say_on(screen, said, "wrong-key")


def _keys(screen: Screen[Any]) -> list[str]:
    """Enter, where it does something on a screen, then the letters, figures and signs that do,
    answers first."""
    shown: dict[str, bool] = {}
    enter: list[str] = []
    for active in screen.active_bindings.values():
        key = screen.app.get_key_display(active.binding)
        if active.enabled and active.binding.key == "enter":
            enter = ["Enter"]
        if active.enabled and len(key) == 1 and key.isascii():
            shown.setdefault(key, active.binding.description == "Answer")
    return [*enter, *sorted(shown, key=lambda key: not shown[key])]
