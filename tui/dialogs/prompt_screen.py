"""Ask for a line of text: a note, a name, a file, a figure."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import ClassVar, TypeVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.widgets import Input, OptionList, Static

from rules.problems import BadInput
from tui.dialogs.base import CardDialog
from tui.widgets.key_footer import KeyFooter
from tui.widgets.row_list import RowList
from tui.widgets.word_box import CardInput

Given = TypeVar("Given")


class PromptScreen(CardDialog[str | None]):
    """Returns the text, or None. `check` returns what is wrong with a text, or nothing.

    What is typed replaces `value`, or is added to it where `replace` is off. Arrows put one of the
    `choices` into the box, where there are any.
    """

    CSS_PATH = "prompt_screen.tcss"
    AUTO_FOCUS: ClassVar[str | None] = "CardInput"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("down", "move(1)", "Next", show=False),
        Binding("up", "move(-1)", "Previous", show=False),
    ]

    def __init__(
        self,
        title: str,
        hint: str = "",
        value: str = "",
        check: Callable[[str], str] = lambda text: "" if text else "Nothing typed yet.",
        choices: Sequence[str] = (),
        *,
        replace: bool = True,
    ) -> None:
        super().__init__()
        self._title, self._hint, self._value, self._check = title, hint, value, check
        self._replace, self._choices = replace, list(choices)

    def compose(self) -> ComposeResult:
        """Question, box, hint, what is wrong, keys."""
        with Vertical(id="box"):
            yield Static(self._title, id="title", markup=False)
            yield CardInput(self._value, select_on_focus=self._replace)
            yield Static(self._hint, id="hint", markup=False)
            yield Static("", id="problem", markup=False)
            if self._choices:
                yield (rows := RowList(id="choices"))
                rows.can_focus = False
            yield Static("Enter keeps it, Escape leaves it.", id="keys", markup=False)
        yield KeyFooter()

    def on_mount(self) -> None:
        """List the choices, the one in the box marked."""
        if self._choices:
            rows = self.query_one(RowList)
            rows.show_rows(self._choices)
            if self._value in self._choices:
                rows.highlighted = self._choices.index(self._value)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """There may be nothing to choose from."""
        return action != "move" or bool(self._choices)

    def action_move(self, by: int) -> None:
        """Put the choice above or below into the box."""
        rows = self.query_one(RowList)
        rows.move(by)
        if rows.highlighted is not None:
            self._put(rows.highlighted)

    def on_option_list_option_selected(self, message: OptionList.OptionSelected) -> None:
        """A choice was touched."""
        self._put(message.option_index)

    def _put(self, number: int) -> None:
        box = self.query_one(CardInput)
        box.value = self._choices[number]
        box.cursor_position = len(box.value)

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
