"""Boxes to type in that leave some keys to the screen."""

from __future__ import annotations

from textual import events
from textual.widgets import Input

_STARTS_READING = frozenset("0123456789.,-+")


class CardInput(Input):
    """An input with the look of the card."""

    DEFAULT_CSS = """
    CardInput { height: 3; padding: 0 1; border: round $primary; background: $surface; }
    CardInput:focus { border: heavy $primary; background: $surface; }
    """

    def on_mount(self) -> None:
        """A still cursor: it is easier on the eye, and pictures of it come out alike."""
        self.cursor_blink = False

    def is_command(self, character: str | None) -> bool:
        """Whether a key is left to the screen although it could be typed."""
        return False

    def check_consume_key(self, key: str, character: str | None) -> bool:
        """Whether the key is text here."""
        return not self.is_command(character) and super().check_consume_key(key, character)

    def _on_key(self, event: events.Key) -> None:  # type: ignore[override]
        # the handler of the base class runs next unless it is told not to
        if self.is_command(event.character):
            event.prevent_default()


class ReadingBox(CardInput):
    """Takes a reading. Until a digit is typed, letters and `?` remain keys of the screen."""

    def is_command(self, character: str | None) -> bool:
        """Any key that cannot begin a reading, while the box is empty."""
        if character is None or not character.isprintable():
            return False
        return not self.value.strip() and character not in _STARTS_READING


class SearchBox(CardInput):
    """Takes words. Digits, which no complaint has, remain keys of the screen."""

    def is_command(self, character: str | None) -> bool:
        """A digit picks from what was found."""
        return character is not None and character.isdigit()
