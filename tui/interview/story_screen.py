"""What happened, in the rider's words: the first page of a case."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.widgets import Static

from tui.dialogs.base import CardScreen
from tui.widgets.key_button import KeyButton
from tui.widgets.key_footer import KeyFooter
from tui.widgets.keyed import keyed
from tui.widgets.story_box import StoryBox

QUESTION = "What happened? In the rider's words."


class StoryScreen(CardScreen[str | None]):
    """Returns what was typed, empty for the list of complaints, or None when the person goes
    back."""

    CSS_PATH = "story_screen.tcss"
    AUTO_FOCUS: ClassVar[str | None] = "StoryBox"
    BINDINGS: ClassVar[list[BindingType]] = [
        keyed("?", "list", "Pick from the list of complaints", "Complaints", id="story.list"),
        Binding("f1", "app.help", "Help", id="help.f1"),
    ]

    def __init__(self, text: str = "") -> None:
        super().__init__()
        self._text = text

    def compose(self) -> ComposeResult:
        """Question, box, and the two ways on."""
        yield Static(QUESTION, id="question")
        yield StoryBox(self._text)
        yield Static(
            "What it did, where, since when, what was changed, any figures. "
            "Whole sentences are fine.",
            id="hint",
        )
        yield KeyButton("Enter", "Listen; nothing typed: list complaints", id="go")
        yield KeyFooter()

    def on_story_box_told(self, message: StoryBox.Told) -> None:
        """Return the words."""
        self.dismiss(message.text)

    def on_key_button_pressed(self) -> None:
        """The button was touched."""
        self.dismiss(self.query_one(StoryBox).text.strip())

    def action_list(self) -> None:
        """Leave the words for the list."""
        self.dismiss("")
