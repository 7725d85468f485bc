"""Answer one observation again, on a card of its own."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.widgets import Footer, Input, Static

from diagnose.case import Answered, Case, read_answer
from diagnose.wording import observation_text
from rules.problems import BadInput
from rules.rulebase import RuleBase
from tui.offers import observation_offers
from tui.screens.base import CardDialog
from tui.telling import minutes_text
from tui.widgets.answer_pad import AnswerPad
from tui.widgets.key_button import KeyButton
from tui.widgets.step_card import StepCard
from tui.widgets.word_box import ReadingBox

_ANSWER_KEYS = {key: key for key in "123456789ynx"} | {"question_mark": "?"}


class AnswerScreen(CardDialog[Answered | None]):
    """Returns the new answer, or None to leave the old one."""

    CSS_PATH = "answer.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        *(
            Binding(key, f"answer({sign!r})", "Answer", show=False, key_display=sign)
            for key, sign in _ANSWER_KEYS.items()
        ),
    ]

    def __init__(self, rules: RuleBase, case: Case, observation: str) -> None:
        super().__init__()
        self._rules, self._case, self._observation = rules, case, observation

    def compose(self) -> ComposeResult:
        """The observation's card and its answers."""
        with Vertical(id="box"):
            yield StepCard()
            yield ReadingBox(id="reading")
            yield Static("", id="problem", markup=False)
            yield AnswerPad(id="pad")
        yield Footer(show_command_palette=False)

    def on_mount(self) -> None:
        """Show the observation."""
        entry = self._rules.observations[self._observation]
        words = observation_text(self._rules, self._case, self._observation)
        self.query_one(StepCard).show(f"Answer again, {minutes_text(entry.minutes)}", words)
        self.query_one(AnswerPad).show(observation_offers(self._rules, self._observation))
        box = self.query_one(ReadingBox)
        box.display = entry.kind == "measurement"
        if box.display:
            box.placeholder = f"figure in {entry.unit}"
            box.focus()
        self.refresh_bindings()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Only keys that answer."""
        if action == "answer":
            return self.query_one(AnswerPad).find(str(parameters[0])) is not None
        return True

    def spoken_actions(self) -> Iterator[tuple[str, str]]:
        """Every answer."""
        for offer in self.query_one(AnswerPad).offers:
            yield f"Answer: {offer.label}", f"answer({offer.key!r})"

    def on_key_button_pressed(self, message: KeyButton.Pressed) -> None:
        """An answer was touched."""
        self.action_answer(message.key)

    def action_answer(self, key: str) -> None:
        """Return the answer under a key."""
        offer = self.query_one(AnswerPad).find(key)
        if offer is not None and isinstance(offer.event, Answered):
            self.dismiss(offer.event)

    def on_input_submitted(self, message: Input.Submitted) -> None:
        """Return a reading, or say what is wrong with it."""
        if not message.value.strip():
            return
        try:
            self.dismiss(read_answer(self._rules, self._observation, message.value))
        except BadInput as error:
            self.query_one("#problem", Static).update(str(error))
