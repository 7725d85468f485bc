"""A rider's story gone through with the person: struck out, answered, and added to."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace

from diagnose.case.events import Answered, Complained, Event, Told, read_answer
from diagnose.listening.heard import OpenQuestion, Slices, Story
from diagnose.listening.listen import Listener
from rules.rulebase import RuleBase

Trait = tuple[str, str]
"""A trait of the bike and the option that was heard."""
NONE = ""
"""The answer to a question that none of what is offered is meant."""


@dataclass(frozen=True, slots=True)
class Item:
    """One thing that was understood, and the words it came from."""

    what: Complained | Answered | Trait
    words: Slices
    is_struck: bool


@dataclass(frozen=True)
class Understood:
    """What stands of a story: each item until it is struck out, each question until it is asked."""

    listener: Listener
    story: Story
    struck: frozenset[Complained | Answered | Trait] = frozenset()
    answered: Mapping[OpenQuestion, str] = field(default_factory=dict)

    @property
    def rules(self) -> RuleBase:
        """The rule base that was listened with."""
        return self.listener.rules

    @property
    def items(self) -> tuple[Item, ...]:
        """Everything understood, in the order it is shown: complaints, facts, traits."""
        found: dict[Complained | Answered | Trait, Slices] = {}
        for what, words in self._all():
            found.setdefault(what, words)
        return tuple(Item(what, words, what in self.struck) for what, words in found.items())

    def _all(self) -> Iterator[tuple[Complained | Answered | Trait, Slices]]:
        story = self.story
        for complaint in story.complaints:
            place = complaint.place or self._place_of(complaint.complaint)
            yield Complained(complaint.complaint, place), complaint.words
        accepted = [q for q in story.questions if self._is_accepted(q)]
        for question in accepted:
            place = question.place or self._place_of(question.id)
            yield Complained(question.id, place), question.words
        for fact in story.facts:
            yield fact.event, fact.words
        if accepted:
            for fact in story.pending:
                yield fact.event, fact.words
        for question in story.questions:
            answer = self.answered.get(question, NONE)
            if answer and question.asks == "figure":
                yield read_answer(self.rules, answer, question.id), question.words
            elif answer and question.asks == "fact":
                yield read_answer(self.rules, question.id, answer), question.words
        for name, option, words in story.machine:
            yield (name, option), words

    def _is_accepted(self, question: OpenQuestion) -> bool:
        return question.asks == "complaint" and bool(self.answered.get(question))

    def _place_of(self, complaint: str) -> str | None:
        for question, answer in self.answered.items():
            if question.asks == "place" and question.id == complaint:
                return answer or None
        return None

    @property
    def question(self) -> OpenQuestion | None:
        """The next question that was not asked yet; which end last, of what was not struck out."""
        for question in self.story.questions:
            if question not in self.answered and question.asks != "place":
                return question
        for item in self.items:
            what = item.what
            if not isinstance(what, Complained) or item.is_struck or what.place is not None:
                continue
            places = self.rules.complaints[what.complaint].places
            asked = any(q.asks == "place" and q.id == what.complaint for q in self.answered)
            if places and not asked:
                return OpenQuestion("place", what.complaint, item.words, places)
        return None

    def answer(self, question: OpenQuestion, choice: str) -> Understood:
        """The same with a question answered: one of its choices, `yes`, or `NONE`."""
        return replace(self, answered={**self.answered, question: choice})

    def strike(self, item: Item) -> Understood:
        """The same with an item struck out, or standing again."""
        return replace(self, struck=self.struck ^ {item.what})

    def add(self, text: str) -> Understood:
        """The same after more words; what was struck out and answered stays so."""
        return replace(self, story=self.listener.listen(f"{self.story.text}\n\n{text}"))

    @property
    def has_complaint(self) -> bool:
        """Whether a complaint stands."""
        return any(isinstance(event, Complained) for event in self.events)

    @property
    def events(self) -> tuple[Event, ...]:
        """The rider's words, then what stands of them."""
        stands = [item.what for item in self.items if not item.is_struck]
        events = [what for what in stands if isinstance(what, Complained | Answered)]
        return (Told(self.story.text), *events)

    @property
    def traits(self) -> dict[str, str]:
        """What stands about the bike."""
        stands = [item.what for item in self.items if not item.is_struck]
        return dict(what for what in stands if isinstance(what, tuple))


def understand(listener: Listener, text: str) -> Understood:
    """Listen to `text`; nothing is struck out or asked yet."""
    return Understood(listener, listener.listen(text))
