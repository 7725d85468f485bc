"""Boxes to type in that leave command keys alone while they are not meant as text."""

from __future__ import annotations

from textual import events
from textual.widgets import Input

_STARTS_READING = frozenset("0123456789.,-+")


class CardInput(Input):
    """An input with the look of the card."""

    DEFAULT_CSS = """
    CardInput {
        height: 3;
        padding: 0 1;
        border: round $primary;
        background: $surface;
    }
    CardInput:focus { border: heavy $primary; background: $surface; }
    CardInput.-ascii, CardInput.-ascii:focus { border: ascii $primary; }
    """


class ReadingBox(CardInput):
    """Takes a reading. Until a figure is typed, letters and `?` remain keys of the screen."""

    def check_consume_key(self, key: str, character: str | None) -> bool:
        """Whether the key is text here."""
        if self._is_command(character):
            return False
        return super().check_consume_key(key, character)

    async def _on_key(self, event: events.Key) -> None:
        if self._is_command(event.character):
            return
        await super()._on_key(event)

    def _is_command(self, character: str | None) -> bool:
        if character is None or not character.isprintable():
            return False
        return not self.value.strip() and character not in _STARTS_READING


class SearchBox(CardInput):
    """Takes a word. Figures, which no rider's word has, remain keys of the screen."""

    def check_consume_key(self, key: str, character: str | None) -> bool:
        """Whether the key is text here."""
        if character is not None and character.isdigit():
            return False
        return super().check_consume_key(key, character)

    async def _on_key(self, event: events.Key) -> None:
        if event.character is not None and event.character.isdigit():
            return
        await super()._on_key(event)
