"""What every screen with answers to press and readings to type has in common."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.screen import Screen
from textual.widgets import Input, Static

from diagnose.case.events import Answered, read_answer
from rules.problems import BadInput
from rules.rulebase import RuleBase
from tui.dialogs.base import Result
from tui.interview.answer_pad import AnswerPad
from tui.interview.drawing_screen import show_drawing
from tui.interview.step_card import StepCard
from tui.plain.offers import Offer
from tui.widgets.key_button import KeyButton
from tui.widgets.keyed import keyed
from tui.widgets.text_lines import put_line

_KEYS = {key: key for key in "123456789ynfx"} | {"question_mark": "?"}


class Answering(Screen[Result]):
    """A screen with an `AnswerPad`, a reading box and a line `#problem` for what is wrong."""

    BINDINGS: ClassVar[list[BindingType]] = [
        *(
            Binding(
                key, f"answer({sign!r})", "Answer", show=False, key_display=sign, tooltip="Answer"
            )
            for key, sign in _KEYS.items()
        ),
        keyed("d", "draw", "The drawing of this step", show=False, id="draw"),
    ]

    def take(self, offer: Offer) -> None:
        """Do what an offer that was picked stands for."""
        raise NotImplementedError

    def take_reading(self, answer: Answered) -> None:
        """Take a reading that was typed."""
        raise NotImplementedError

    def asks(self) -> tuple[RuleBase, str] | None:
        """The rule base and the observation a reading would be of; None while there is none."""
        raise NotImplementedError

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Only the keys of the answers work."""
        if action == "answer":
            key = str(parameters[0])
            return self.find(key) is not None
        if action != "draw":
            return True
        card = self.query_one_optional(StepCard)
        return card is not None and bool(card.picture)

    def find(self, key: str) -> Offer | None:
        """What is under a key; nothing while the screen is put together or taken apart, when the
        key line asks as well."""
        # not `query`, which goes through every part anew for each key that may be live
        pad = self.query_one_optional(AnswerPad)
        return None if pad is None else pad.find(key)

    def spoken_actions(self) -> Iterator[tuple[str, str]]:
        """Give any answer by its label."""
        for offer in self.query_one(AnswerPad).offers:
            yield f"Answer: {offer.label}", f"answer({offer.key!r})"

    def on_key_button_pressed(self, message: KeyButton.Pressed) -> None:
        """An answer was touched."""
        self.action_answer(message.key)

    def action_answer(self, key: str) -> None:
        """Take what is under a key."""
        offer = self.find(key)
        if offer is not None and self.asks() is not None:
            self.take(offer)

    def action_draw(self) -> None:
        """Show the drawing of the step."""
        asked = self.asks()
        if asked is not None:
            show_drawing(self, asked[0])

    def on_input_submitted(self, message: Input.Submitted) -> None:
        """Take a reading, or say what is wrong with it."""
        asked = self.asks()
        if asked is None or not message.value.strip():
            return
        try:
            answer = read_answer(*asked, message.value)
        except BadInput as error:
            self.say_problem(str(error))
        else:
            self.take_reading(answer)

    def say_problem(self, text: str) -> None:
        """Show what is wrong with a reading, or hide that line where `text` is empty."""
        put_line(self.query_one("#problem", Static), text)
