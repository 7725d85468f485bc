"""One question of an entry that is being added, on a page of its own."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import ClassVar, Literal

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.widgets import Input, OptionList, Static

from tui.adding.question_page import PageRow, QuestionPage
from tui.dialogs.base import CardScreen
from tui.widgets.key_footer import KeyFooter
from tui.widgets.row_list import RowList
from tui.widgets.word_box import CardInput

Left = Literal["said", "back", "later"]
KEYS = "123456789afgnuy"


@dataclass(frozen=True, slots=True)
class PageLeft:
    """How a page was left: with an answer, back to the question before, or for later. `text` is the
    answer, or what stood in the box."""

    how: Left
    text: str


class QuestionScreen(CardScreen[PageLeft]):
    """Returns how it was left. `answer` takes a line and returns what is wrong with it, or nothing;
    `value` is what was answered before."""

    CSS_PATH = "question_screen.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        *(Binding(key, f"pick({key!r})", "Pick", show=False) for key in KEYS),
        Binding("enter", "take", "Go on", tooltip="Go on to the next question", id="question.take"),
        Binding("escape", "leave", "Back", tooltip="Back to the question before",
                id="question.back"),
        Binding("f2", "later", "Put by", tooltip="Leave, and keep what was said for later",
                id="question.later"),
        Binding("down", "move(1)", "Next", show=False),
        Binding("up", "move(-1)", "Previous", show=False),
    ]  # fmt: skip

    def __init__(self, page: QuestionPage, answer: Callable[[str], str], value: str = "") -> None:
        super().__init__()
        self._page, self._answer, self._value = page, answer, value
        self._rows: list[PageRow] = []

    def compose(self) -> ComposeResult:
        """Question, hints, box with what is wrong under it, rows."""
        yield Static(self._page.head, id="head", markup=False)
        yield Static(self._page.ask, id="ask", markup=False)
        yield Static("\n".join(self._page.hints), id="hints", markup=False)
        if self._page.box:
            typed = "" if self._is_a_row(self._value) else self._value
            yield CardInput(typed, select_on_focus=False)
        yield Static("", id="problem", markup=False)
        yield RowList(id="rows")
        yield KeyFooter()

    def on_mount(self) -> None:
        """Show the rows, the one answered before marked; a box has the keys."""
        rows = self.query_one(RowList)
        rows.can_focus = not self._page.box
        self._show(self.query_one(CardInput).value if self._page.box else "")
        at = [n for n, row in enumerate(self._rows) if row.line == self._value and self._value]
        prompt = self._page.prompt
        usual = [n for n, row in enumerate(self._rows) if prompt and row.line == prompt.default]
        if at:
            rows.highlighted = at[0]
        elif usual:
            rows.highlighted = usual[0]
        (self.query_one(CardInput) if self._page.box else rows).focus()
        self.query_one("#hints").display = bool(self._page.hints)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Only the keys of the rows work."""
        if action == "pick":
            return any(row.key == parameters[0] for row in self._page.rows)
        if action == "later":
            return self._page.prompt is not None
        return True

    def on_input_changed(self, message: Input.Changed) -> None:
        """Narrow the rows with every letter."""
        self._show(message.value)

    def on_input_submitted(self, message: Input.Submitted) -> None:
        """Enter in the box."""
        self.action_take()

    def on_option_list_option_selected(self, message: OptionList.OptionSelected) -> None:
        """Enter on a row, or a touch."""
        self._say(self._rows[message.option_index].line)

    def action_pick(self, key: str) -> None:
        """Answer with the row under a key."""
        self._say(next(row.line for row in self._page.rows if row.key == key))

    def action_move(self, by: int) -> None:
        """Mark another row."""
        self.query_one(RowList).move(by)

    def action_take(self) -> None:
        """Answer with the row marked, or with what was typed."""
        at = self.query_one(RowList).highlighted
        self._say(self._text if at is None or not self._rows else self._rows[at].line)

    def action_leave(self) -> None:
        """Go back to the question before; what was typed comes along."""
        self.dismiss(PageLeft("back", self._text))

    def action_later(self) -> None:
        """Leave for later."""
        self.dismiss(PageLeft("later", self._text))

    @property
    def _text(self) -> str:
        return self.query_one(CardInput).value.strip() if self._page.box else ""

    def _is_a_row(self, line: str) -> bool:
        return any(row.line == line for row in self._page.rows_for(""))

    def _show(self, text: str) -> None:
        self._rows = self._page.rows_for(text)
        rows = self.query_one(RowList)
        listed = bool(self._page.rows_for(""))
        rows.display = listed
        names = [f"{row.key}  {row.label}" if row.key else row.label for row in self._rows]
        rows.show_rows(names, "" if self._rows or not listed else "Nothing of that name.")
        # Enter on an empty box picks nothing that was not asked for
        ends = bool(self._rows) and not self._rows[0].line
        rows.highlighted = 0 if self._rows and (text.strip() or ends) else None
        self.query_one("#problem", Static).update("")

    def _say(self, line: str) -> None:
        wrong = self._answer(line)
        if wrong:
            self.query_one("#problem", Static).update(wrong)
        else:
            self.dismiss(PageLeft("said", line))
