"""A few fields on one sheet: Enter in any of them keeps it; a problem stands under its field."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import ClassVar, TypeVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.widgets import Input, Static

from rules.problems import BadInput
from tui.dialogs.base import CardDialog
from tui.widgets.key_button import KeyButton
from tui.widgets.key_footer import KeyFooter
from tui.widgets.tick_box import TickBox
from tui.widgets.word_box import CardInput

YES = "yes"

Result = TypeVar("Result")


@dataclass(frozen=True, slots=True)
class Field:
    """A line to type in, or with `is_tick` one to tick, which is `YES` or empty."""

    id: str
    title: str
    value: str = ""
    is_tick: bool = False


class WrongField(BadInput):
    """A message about the value of the field with the id `field`."""

    def __init__(self, field: str, problem: str) -> None:
        super().__init__(problem)
        self.field = field


class ShortForm(CardDialog[Result | None]):
    """Returns what `read` makes of the fields, or None. `read` may raise `WrongField`."""

    CSS_PATH = "short_form.tcss"
    AUTO_FOCUS: ClassVar[str | None] = "CardInput"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "keep", "Keep", tooltip="Keep what the fields say", id="form.keep"),
        Binding("down", "app.focus_next", "Next", show=False, id="form.next"),
        Binding("up", "app.focus_previous", "Previous", show=False, id="form.previous"),
    ]

    def __init__(
        self,
        title: str,
        fields: Sequence[Field],
        read: Callable[[Mapping[str, str]], Result],
        about: str = "",
    ) -> None:
        super().__init__()
        self._title, self._about, self._read = title, about, read
        self._fields = tuple(fields)

    def compose(self) -> ComposeResult:
        """Title, fields, what is wrong, buttons."""
        with Vertical(id="box"):
            yield Static(self._title, id="title", markup=False)
            with VerticalScroll(can_focus=False):
                yield Static(self._about, id="about", markup=False)
                for field in self._fields:
                    if field.is_tick:
                        yield TickBox(field.title, field.value == YES, id=field.id)
                    else:
                        yield Static(field.title, classes="name", markup=False)
                        yield CardInput(field.value, id=field.id)
                    yield Static("", id=f"{field.id}-wrong", classes="wrong", markup=False)
            with Horizontal(id="pad"):
                yield KeyButton("Enter", "Keep")
                yield KeyButton("Esc", "Leave it")
        yield KeyFooter()

    def on_mount(self) -> None:
        """Hide the lines that have nothing to say."""
        self.query_one("#about").display = bool(self._about)
        self.query(".wrong").set(display=False)

    def on_input_submitted(self, message: Input.Submitted) -> None:
        """Enter in a field."""
        self.action_keep()

    def on_key_button_pressed(self, message: KeyButton.Pressed) -> None:
        """A button was touched, or Enter was pressed on it."""
        if message.key == "Enter":
            self.action_keep()
        else:
            self.action_leave()

    def action_keep(self) -> None:
        """Return what `read` makes of the fields, or say what is wrong and go to that field."""
        self.query(".wrong").set(display=False)
        try:
            result = self._read({field.id: self._said(field) for field in self._fields})
        except WrongField as wrong:
            line = self.query_one(f"#{wrong.field}-wrong", Static)
            line.update(str(wrong))
            line.display = True
            self.query_one(f"#{wrong.field}").focus()
        else:
            self.dismiss(result)

    def _said(self, field: Field) -> str:
        if field.is_tick:
            return YES if self.query_one(f"#{field.id}", TickBox).ticked else ""
        return self.query_one(f"#{field.id}", CardInput).value.strip()
