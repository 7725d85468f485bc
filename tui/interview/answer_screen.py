"""Answer one observation again, on a card of its own."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.widgets import Footer, Static

from diagnose.case.events import Answered, Case
from diagnose.words.answers import unit_of_bare
from diagnose.words.chances import about_minutes
from diagnose.words.step_words import observation_text
from rules.rulebase import RuleBase
from tui.dialogs.base import CardDialog
from tui.interview.answer_pad import AnswerPad
from tui.interview.answering import Answering
from tui.interview.reading_field import ReadingField
from tui.interview.step_card import StepCard
from tui.plain.offers import Offer, observation_offers


class AnswerScreen(Answering[Answered | None], CardDialog[Answered | None]):
    """Returns the new answer, or None to leave the old one."""

    CSS_PATH = "answer_screen.tcss"

    def __init__(self, rules: RuleBase, case: Case, observation: str) -> None:
        super().__init__()
        self._rules, self._case, self._observation = rules, case, observation

    def compose(self) -> ComposeResult:
        """The observation's card and its answers."""
        with Vertical(id="box"):
            yield StepCard()
            yield ReadingField(id="reading")
            yield Static("", id="problem", markup=False)
            yield AnswerPad(id="pad")
        yield Footer(show_command_palette=False)

    def on_mount(self) -> None:
        """Show the observation and its answers, and the box where it is measured."""
        entry = self._rules.observations[self._observation]
        words = observation_text(self._rules, self._case, self._observation)
        self.query_one(StepCard).show(f"Answer again, {about_minutes(entry.minutes)}", words)
        self.query_one(AnswerPad).show(observation_offers(self._rules, self._observation))
        self.say_problem("")
        box = self.query_one(ReadingField)
        box.display = entry.kind == "measurement"
        if box.display:
            box.ask(unit_of_bare(self._rules, self._case, self._observation), entry.in_words)
        self.refresh_bindings()

    def asks(self) -> tuple[RuleBase, str]:
        """The observation that is answered again."""
        return self._rules, self._observation

    def take(self, offer: Offer) -> None:
        """Return the answer picked."""
        if isinstance(offer.event, Answered):
            self.dismiss(offer.event)

    def on_reading_field_blank(self, message: ReadingField.Blank) -> None:
        """Say what would be a reading."""
        self.say_problem(message.wanted)

    def take_reading(self, answer: Answered) -> None:
        """Return the reading typed."""
        self.dismiss(answer)
