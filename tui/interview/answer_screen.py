"""Answer one observation on a card of its own: for the first time, again, or what it was set to."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.widgets import Static

from diagnose.case.events import Answered, Case
from diagnose.case.revising import latest_answer
from diagnose.case.set_figures import last_reading
from diagnose.words.answers import unit_of_bare
from diagnose.words.chances import about_minutes
from diagnose.words.step_words import found_before_text, observation_text, set_text
from rules.rulebase import RuleBase
from tui.dialogs.base import CardDialog
from tui.interview.answer_pad import AnswerPad
from tui.interview.answering import Answering
from tui.interview.reading_field import ReadingField
from tui.interview.step_card import StepCard
from tui.plain.offers import NOT_READ, Offer, observation_offers, set_offers
from tui.widgets.key_footer import KeyFooter


class AnswerScreen(Answering[Answered | None], CardDialog[Answered | None]):
    """Returns the answer, or None to leave it as it was. A `reading` stands in the box already."""

    CSS_PATH = "answer_screen.tcss"

    def __init__(
        self, rules: RuleBase, case: Case, observation: str, reading: Answered | None = None
    ) -> None:
        super().__init__()
        self._rules, self._case, self._observation = rules, case, observation
        self._reading = reading

    def compose(self) -> ComposeResult:
        """The observation's card and its answers."""
        with Vertical(id="box"):
            yield StepCard()
            yield ReadingField(id="reading")
            yield Static("", id="problem", markup=False)
            yield AnswerPad(id="pad")
        yield KeyFooter()

    def on_mount(self) -> None:
        """Show the observation and its answers, and the box where it is measured."""
        self.show_asked()
        self.say_problem("")
        self.refresh_bindings()

    def show_asked(self) -> None:
        """Show what is asked and how it can be answered."""
        entry = self._rules.observations[self._observation]
        words = observation_text(self._rules, self._case, self._observation)
        asked = "Answer" if latest_answer(self._case, self._observation) is None else "Answer again"
        self.query_one(StepCard).show(f"{asked}, {about_minutes(entry.minutes)}", words)
        self.query_one(AnswerPad).show(observation_offers(self._rules, self._observation))
        box = self.query_one(ReadingField)
        box.display = entry.kind == "measurement"
        if box.display:
            box.ask(unit_of_bare(self._rules, self._case, self._observation), entry.in_words)
            if self._reading is not None:
                box.value = str(self._reading.reading)

    def asks(self) -> tuple[RuleBase, str]:
        """The observation that is answered."""
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


class FoundScreen(AnswerScreen):
    """Asks what a reading was before work that sets it. Returns None where nobody read it."""

    def show_asked(self) -> None:
        """Show what is asked; a figure is typed, and one key says that it was not read."""
        self.query_one(StepCard).show(
            "Before the work", found_before_text(self._rules, self._observation)
        )
        self.query_one(AnswerPad).show(NOT_READ)
        unit = unit_of_bare(self._rules, self._case, self._observation)
        self.query_one(ReadingField).ask(unit)

    def take(self, offer: Offer) -> None:
        """It was not read."""
        self.dismiss(None)

    def on_reading_field_blank(self, message: ReadingField.Blank) -> None:
        """Enter alone: it was not read."""
        self.dismiss(None)


class SetScreen(AnswerScreen):
    """Asks what work has set a reading to; Enter alone takes its figure. Returns None for a reading
    that was not taken."""

    def show_asked(self) -> None:
        """Show what was found, and what it should be where that is known."""
        self.query_one(StepCard).show(
            "After the work", set_text(self._rules, self._case, self._observation)
        )
        self.query_one(AnswerPad).show(set_offers(self._rules, self._case, self._observation))
        found = last_reading(self._case, self._observation)
        unit = unit_of_bare(self._rules, self._case, self._observation)
        self.query_one(ReadingField).ask(unit if found is None else found.unit)

    def take(self, offer: Offer) -> None:
        """Return the figure that it should have, or that it was not read."""
        self.dismiss(offer.event if isinstance(offer.event, Answered) else None)

    def on_reading_field_blank(self, message: ReadingField.Blank) -> None:
        """Enter alone: its figure, where that is known."""
        offer = self.query_one(AnswerPad).offers[0]
        if isinstance(offer.event, Answered):
            self.dismiss(offer.event)
        else:
            self.say_problem(message.wanted)
