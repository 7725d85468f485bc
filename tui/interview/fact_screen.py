"""Volunteer a reading, a fact or a complaint: type it, take what was heard or choose what was
meant."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.widgets import Input, OptionList, Static

from diagnose.case.events import Answered, Complained
from diagnose.listening.listen import Listener
from diagnose.listening.volunteered import FactsNear, facts_near
from diagnose.records.cases.case_title import complaint_title
from diagnose.words.answers import answer_text
from diagnose.words.event_words import asked_text
from diagnose.words.fact_words import (
    ALL_HEARD,
    CHOOSE,
    NOT_UNDERSTOOD,
    another_complaint,
    meant_heading,
)
from diagnose.words.titles import setting_title, short_titles
from tui.dialogs.base import CardScreen
from tui.plain.settings_first import settings_first, settings_of
from tui.widgets.key_lines import KeyFooter
from tui.widgets.row_list import RowList
from tui.widgets.text_lines import put_line
from tui.widgets.word_box import CardInput

Chosen = tuple[Answered, ...] | Complained | str
"""Facts or a complaint that were heard, or the observation that was meant and is to be asked."""


class FactScreen(CardScreen[tuple[Chosen, str] | None]):
    """Returns what was chosen with what was typed, or None. What only may be meant is never marked
    unasked. `hidden` observations do not apply to the bike, `already` are its complaints."""

    CSS_PATH = "fact_screen.tcss"
    AUTO_FOCUS: ClassVar[str | None] = "CardInput"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "take", "Take what is marked", priority=False, id="fact.take"),
        Binding("down", "move(1)", "Down", show=False, id="fact.down"),
        Binding("up", "move(-1)", "Up", show=False, id="fact.up"),
        Binding("f1", "app.help", "Help", id="help.f1"),
    ]

    def __init__(
        self,
        listener: Listener,
        hidden: Collection[str] = frozenset(),
        already: Collection[Complained] = (),
    ) -> None:
        super().__init__()
        self._listener, self._hidden, self._already = listener, hidden, already
        rules = listener.rules
        self._settings = settings_first(rules, settings_of(rules) - set(hidden))
        self._titles = short_titles(rules, self._settings)
        self._choices: list[Chosen | None] = []
        """What each row stands for; None for the heading."""

    def compose(self) -> ComposeResult:
        """Question, box, what comes near, and the marked one in full."""
        yield Static("A reading or a fact: type it, Enter takes what is marked.", id="question")
        yield CardInput(placeholder="rear sag 128, front wheel was out ...")
        yield RowList(id="found")
        yield Static("", id="marked", markup=False)
        yield KeyFooter()

    def on_mount(self) -> None:
        """What is set most often stands there until something is typed."""
        self.query_one("#found", OptionList).can_focus = False
        self._listen("")

    def on_input_changed(self, message: Input.Changed) -> None:
        """Listen with every letter; only what was heard for sure is marked."""
        self._listen(message.value.strip())

    def _listen(self, text: str) -> None:
        near = facts_near(self._listener, text, self._hidden, self._already)
        self._choices = list(_choices(near) if text else self._settings)
        is_nothing = bool(text) and not self._choices
        rows = self.query_one(RowList)
        rows.show_rows(
            (self._row(choice, near) for choice in self._choices),
            NOT_UNDERSTOOD if is_nothing else "",
            [n for n, choice in enumerate(self._choices) if choice is None],
        )
        rows.highlighted = 0 if near.heard or near.complaints else None
        self._say(self._in_full(rows.highlighted))

    def _row(self, choice: Chosen | None, near: FactsNear) -> Content:
        rules = self._listener.rules
        if choice is None:
            return Content.styled(meant_heading(near), "bold")
        if isinstance(choice, str):
            return Content(f"  {self._titles.get(choice) or setting_title(rules, choice)}")
        if isinstance(choice, Complained):
            title = complaint_title(rules, choice)
            return Content.assemble((title, "bold"), " (heard): another complaint")
        if len(choice) > 1:
            return Content.styled(ALL_HEARD, "bold")
        answer = answer_text(rules, choice[0])
        about = setting_title(rules, choice[0].observation)
        return Content.assemble((f"{answer[:1].upper()}{answer[1:]}", "bold"), f" (heard): {about}")

    def _in_full(self, number: int | None) -> str:
        """A row's question with its answer, where one was heard."""
        choice = None if number is None else self._choices[number]
        if choice is None:
            return ""
        if isinstance(choice, str):
            return f"Enter asks: {setting_title(self._listener.rules, choice)}"
        if isinstance(choice, Complained):
            return f"{another_complaint(self._listener.rules, choice)} Enter adds it, Esc does not."
        return "\n".join(f"Heard: {asked_text(self._listener.rules, a)}" for a in choice)

    def _say(self, text: str) -> None:
        put_line(self.query_one("#marked", Static), text)

    def spoken_actions(self) -> Iterator[tuple[str, str]]:
        """Take any row by its words."""
        for number, choice in enumerate(self._choices):
            if choice is not None:
                yield self._in_full(number), f"take_at({number})"

    def on_input_submitted(self, message: Input.Submitted) -> None:
        """Enter takes what is marked."""
        self.action_take()

    def on_option_list_option_highlighted(self, message: OptionList.OptionHighlighted) -> None:
        """The mark was moved: its question and answer are shown in full."""
        if message.option_index < len(self._choices):
            self._say(self._in_full(message.option_index))

    def on_option_list_option_selected(self, message: OptionList.OptionSelected) -> None:
        """A row was touched."""
        self.action_take_at(message.option_index)

    def action_take(self) -> None:
        """Return what is marked; where nothing is, say that one is to be chosen."""
        marked = self.query_one("#found", OptionList).highlighted
        if marked is not None:
            self.action_take_at(marked)
        elif self._choices:
            self._say(CHOOSE)

    def action_take_at(self, number: int) -> None:
        """Return what a row stands for."""
        choice = self._choices[number] if number < len(self._choices) else None
        if choice is not None:
            self.dismiss((choice, self.query_one(CardInput).value))

    def action_move(self, by: int) -> None:
        """Move the mark down (1) or up (-1)."""
        self.query_one(RowList).move(by)


def _choices(near: FactsNear) -> Iterator[Chosen | None]:
    if len(near.heard) > 1:
        yield near.heard
    for answer in near.heard:
        yield (answer,)
    yield from near.complaints
    if near.meant:
        yield None
        yield from near.meant
