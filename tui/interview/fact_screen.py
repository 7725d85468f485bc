"""Volunteer a reading or a fact: type it, and take what was meant."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.widgets import Footer, Input, OptionList, Static

from diagnose.listening.listen import Listener
from diagnose.listening.volunteered import FactMatch, facts_near
from diagnose.words.answers import answer_text
from diagnose.words.titles import setting_title
from tui.dialogs.base import CardScreen
from tui.widgets.row_list import RowList
from tui.widgets.word_box import CardInput


class FactScreen(CardScreen[FactMatch | None]):
    """Returns what was picked, or None. `hidden` observations do not apply to the bike."""

    CSS_PATH = "fact_screen.tcss"
    AUTO_FOCUS: ClassVar[str | None] = "CardInput"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "take", "Take what is marked", priority=False, id="fact.take"),
        Binding("down", "move(1)", "Down", show=False, id="fact.down"),
        Binding("up", "move(-1)", "Up", show=False, id="fact.up"),
        Binding("f1", "app.help", "Help", id="help.f1"),
    ]

    def __init__(self, listener: Listener, hidden: Collection[str] = frozenset()) -> None:
        super().__init__()
        self._listener, self._hidden = listener, hidden
        self._found: list[FactMatch] = []

    def compose(self) -> ComposeResult:
        """Question, box, what comes near."""
        yield Static("A reading or a fact: type it, Enter takes what is marked.", id="question")
        yield CardInput(placeholder="rear sag 128, disc is oily, wheel was out ...")
        yield RowList(id="found")
        yield Footer(show_command_palette=False)

    def on_mount(self) -> None:
        """Nothing is found until something is typed."""
        self.query_one("#found", OptionList).can_focus = False

    def on_input_changed(self, message: Input.Changed) -> None:
        """Search with every letter."""
        text = message.value.strip()
        self._found = facts_near(self._listener, text, self._hidden)
        rows = self.query_one(RowList)
        closing = "Nothing like it; try other words." if text and not self._found else ""
        rows.show_rows((self._row(match) for match in self._found), closing)
        if self._found:
            rows.highlighted = 0

    def _row(self, match: FactMatch) -> Content:
        rules = self._listener.rules
        answer = "..." if match.answer is None else answer_text(rules, match.answer)
        answer = f"{answer[:1].upper()}{answer[1:]}"
        heard = " (heard)" if match.heard else ""
        about = setting_title(rules, match.observation)
        return Content.assemble((answer, "bold"), f"{heard}: {about}")

    def spoken_actions(self) -> Iterator[tuple[str, str]]:
        """Take any match by its words."""
        for number, match in enumerate(self._found):
            yield f"Take: {self._row(match)}", f"take_at({number})"

    def on_input_submitted(self) -> None:
        """Enter takes what is marked."""
        self.action_take()

    def on_option_list_option_selected(self, message: OptionList.OptionSelected) -> None:
        """A row was touched."""
        self.action_take_at(message.option_index)

    def action_take(self) -> None:
        """Return what is marked."""
        marked = self.query_one("#found", OptionList).highlighted
        if marked is not None:
            self.action_take_at(marked)

    def action_take_at(self, number: int) -> None:
        """Return a match."""
        if number < len(self._found):
            self.dismiss(self._found[number])

    def action_move(self, by: int) -> None:
        """Move the mark down (1) or up (-1)."""
        self.query_one(RowList).move(by)
