"""Ask for a line of text: a note, a name, a file, a figure."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar, TypeVar

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.widgets import Footer, Input, Static

from rules.problems import BadInput
from tui.dialogs.base import CardDialog
from tui.widgets.word_box import CardInput

Given = TypeVar("Given")


class PromptScreen(CardDialog[str | None]):
    """Returns the text, or None. `check` returns what is wrong with a text, or nothing.

    What is typed replaces `value`, or is added to it where `replace` is off.
    """

    CSS_PATH = "prompt_screen.tcss"
    AUTO_FOCUS: ClassVar[str | None] = "CardInput"

    def __init__(
        self,
        title: str,
        hint: str = "",
        value: str = "",
        check: Callable[[str], str] = lambda text: "" if text else "Nothing typed yet.",
        *,
        replace: bool = True,
    ) -> None:
        super().__init__()
        self._title, self._hint, self._value, self._check = title, hint, value, check
        self._replace = replace

    def compose(self) -> ComposeResult:
        """Question, box, hint, what is wrong, keys."""
        with Vertical(id="box"):
            yield Static(self._title, id="title", markup=False)
            yield CardInput(self._value, select_on_focus=self._replace)
            yield Static(self._hint, id="hint", markup=False)
            yield Static("", id="problem", markup=False)
            yield Static("Enter keeps it, Escape leaves it.", id="keys", markup=False)
        yield Footer(show_command_palette=False)

    def on_input_submitted(self, message: Input.Submitted) -> None:
        """Return the text, or say what is wrong with it."""
        text = message.value.strip()
        problem = self._check(text)
        if problem:
            self.query_one("#problem", Static).update(problem)
        else:
            self.dismiss(text)


def refusal(read: Callable[[Given], object]) -> Callable[[Given], str]:
    """A check that gives the message of the `BadInput` that `read` raises, or nothing."""

    def check(given: Given) -> str:
        try:
            read(given)
        except BadInput as error:
            return str(error)
        return ""

    return check
