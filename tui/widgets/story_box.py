"""A box for whole sentences: they wrap, and Enter hands them on."""

from __future__ import annotations

from dataclasses import dataclass

from textual import events
from textual.message import Message
from textual.widgets import TextArea


class StoryBox(TextArea):
    """Takes words. While it is empty, `?` remains a key of the screen."""

    DEFAULT_CSS = """
    StoryBox { height: 1fr; padding: 0 1; border: round $primary; background: $surface; }
    StoryBox:focus { border: heavy $primary; background: $surface; }
    """

    @dataclass
    class Told(Message):
        """Enter was pressed; `text` is what stands in the box, without space around it."""

        text: str

    def __init__(self, text: str = "", id: str | None = None) -> None:  # noqa: A002
        super().__init__(text, id=id, soft_wrap=True, tab_behavior="focus")
        self.show_line_numbers = False
        self.highlight_cursor_line = False

    def on_mount(self) -> None:
        """A still cursor, after the words that stand there."""
        self.cursor_blink = False
        self.move_cursor(self.document.end)

    def check_consume_key(self, key: str, character: str | None = None) -> bool:
        """Whether the key is text here."""
        if key == "enter" or self._asks_for_list(character):
            return False
        return super().check_consume_key(key, character)

    def _asks_for_list(self, character: str | None) -> bool:
        return character == "?" and not self.text.strip()

    async def _on_key(self, event: events.Key) -> None:
        # the handler of the base class would write a line break, or the sign
        if event.key == "enter":
            event.stop()
            event.prevent_default()
            self.post_message(self.Told(self.text.strip()))
        elif self._asks_for_list(event.character):
            event.prevent_default()
        else:
            await super()._on_key(event)
            event.prevent_default()
