"""Listen to a rider: from a story in free words to complaints, facts, readings and questions.

A lexicon of phrases decides; where it is silent, the complaints nearest in words are only offered.
The same text gives the same story, and everything in it names its words.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from functools import cached_property

from diagnose.case.events import brought_by
from diagnose.listening.ends import Ends
from diagnose.listening.facts import FoundFact, by_name, facts_in
from diagnose.listening.grading import ASKED, TAKEN, Graded, graded
from diagnose.listening.heard import (
    HeardComplaint,
    HeardFact,
    NotTaken,
    OpenQuestion,
    Slice,
    Slices,
    Story,
)
from diagnose.listening.matching import matches
from diagnose.listening.nearest import NearestComplaints, NearestFacts
from diagnose.listening.readings import FoundReading, readings_in
from diagnose.listening.scope import Scope
from diagnose.listening.tokens import Token, tokens_of
from diagnose.listening.vocabulary import Vocabulary
from diagnose.listening.word_weights import (
    FACT_TAKEN,
    NO_WEIGHTS,
    WordWeights,
    believed,
    by_words,
    features,
    weighed,
    weights_for,
)
from rules.rulebase import RuleBase

LONGEST_LISTENED = 4_000
"""Letters of a story that are listened to; the rest is kept, and said not to be."""
_LEAST_WORDS = 2
_SURE_FACT, _SURE_READING = 0.8, 0.9
_MOST_ASKED, _MOST_FACTS_ASKED = 3, 2

_listeners: list[Listener] = []
_MOST_KEPT = 4


class Listener:
    """A rule base's vocabulary, ready to listen. Making one takes a moment; keep it.

    With `phrases_only` the weights of words are left out, so that a phrase is tried by itself.
    """

    def __init__(self, rules: RuleBase, *, phrases_only: bool = False) -> None:
        self.rules = rules
        self.vocabulary = Vocabulary(rules)
        self._phrases_only = phrases_only

    @cached_property
    def _offers(self) -> NearestComplaints:
        return NearestComplaints(self.vocabulary)

    @cached_property
    def _weights(self) -> WordWeights:
        return NO_WEIGHTS if self._phrases_only else weights_for(self.vocabulary)

    @cached_property
    def _facts(self) -> NearestFacts:
        return NearestFacts(self.vocabulary)

    def near_facts(self, text: str) -> list[str]:
        """The observations that share enough words with `text` to be asked about, nearest first."""
        return self._facts.near(tokens_of(self.vocabulary, text[:LONGEST_LISTENED]))

    def listen(self, text: str) -> Story:
        """What `text` comes to. Never raises; a text too long or empty is remarked upon."""
        listened = text[:LONGEST_LISTENED]
        tokens = tokens_of(self.vocabulary, listened)
        found = matches(self.vocabulary, tokens)
        scope = Scope(self.vocabulary, tokens)
        ends = Ends(self.vocabulary, tokens, scope)
        by_phrases, spent = graded(self.vocabulary, tokens, found, scope, ends)
        said = features(self.vocabulary, tokens, scope)
        weights, likely = self._weights, by_words(self._weights, said)
        complaints = weighed(weights, self.vocabulary, tokens, likely, ends, by_phrases)
        facts = facts_in(self.vocabulary, tokens, found, scope, ends, spent)
        facts = believed(weights, self.vocabulary, likely, said, facts)
        readings = readings_in(self.vocabulary, tokens, found, scope, ends)
        cut = _Slicer(text, tokens)
        taken = [c for c in complaints if c.why is None and c.sure >= TAKEN]
        asked = [c for c in complaints if c.why is None and ASKED <= c.sure < TAKEN]
        asked = asked[: max(_MOST_ASKED - len(taken), 1)]
        questions = [self._complaint_question(c, cut) for c in asked]
        if not any(c.why is not None or c.sure >= TAKEN for c in complaints):
            told = {n for one in readings if one.why is None for n in one.at}
            if any(fact.end_open for fact in facts):
                told |= {n for one in found if one.phrase.kind == "set-aside" for n in one.at}
            questions += self._offered(tokens, scope, cut, told, {c.complaint for c in asked})
        meant = {c.complaint for c in taken}
        possible = meant | {c.complaint for c in asked}
        beside = self.vocabulary.beside
        facts = [
            fact
            for fact in facts
            if fact.id not in beside or not possible.isdisjoint(beside[fact.id])
        ]
        is_place = self._is_place
        kept = by_name(facts, lambda f: f.why is None and not is_place(f))
        places = by_name(facts, lambda f: f.why is None and is_place(f))
        sure: list[HeardFact] = []
        for group in kept.values():
            _settle(group, cut, sure, questions, self.rules)
        sure_places: list[HeardFact] = []
        for group in places.values():
            _settle(group, cut, sure_places, questions if taken else [], self.rules)
        sure += sure_places if taken else []
        _settle_readings(readings, cut, sure, questions)
        sure = _without_words_for_readings(sure)
        asked_of = {q.id for q in questions if q.asks == "fact"}
        words_of = {fact.observation: fact.words for fact in sure}
        for fact in list(sure):
            for brought in brought_by(self.rules, (fact.event,)):
                name = brought.observation
                if name not in words_of and name not in asked_of:
                    sure.append(HeardFact(name, fact.words, fact.sure, state=brought.state))
        questions += self._place_questions(taken, cut)
        return Story(
            text=text,
            complaints=tuple(
                HeardComplaint(c.complaint, c.place, cut(c.at), round(c.sure, 2)) for c in taken
            ),
            facts=tuple(sure),
            questions=tuple(questions),
            not_taken=tuple(
                _not_taken(complaints, facts, readings, cut, {f.observation for f in sure})
            ),
            machine=tuple(
                (name, group[0].state, cut(group[0].at))
                for name, group in kept.items()
                if name in self.rules.traits and len({f.state for f in group}) == 1
            ),
            pending=() if taken or not questions else tuple(sure_places),
            remarks=tuple(_remarks(text, tokens)),
        )

    def _is_place(self, fact: FoundFact) -> bool:
        entry = self.rules.observations.get(fact.id)
        return entry is not None and bool(entry.phase)

    @staticmethod
    def _complaint_question(item: Graded, cut: _Slicer) -> OpenQuestion:
        return OpenQuestion("complaint", item.complaint, cut(item.at), place=item.place)

    def _offered(
        self,
        tokens: Sequence[Token],
        scope: Scope,
        cut: _Slicer,
        told: Collection[int],
        have: Collection[str],
    ) -> Iterator[OpenQuestion]:
        """The complaints nearest in words, where no phrase said anything; words that `told` a
        figure or something else speak for none."""
        vocabulary = self.vocabulary
        bag: dict[str, int] = {}
        for number, token in enumerate(tokens):
            counts = token.is_word and token.word not in vocabulary.small
            counts = counts and scope.aside[number] is None and number not in told
            if counts and token.stem.islower():
                bag.setdefault(token.stem, number)
        if len(bag) < _LEAST_WORDS:
            return
        for offer in self._offers.near(bag):
            if offer.complaint not in have:
                at = tuple(sorted(bag[stem] for stem in offer.stems))
                yield OpenQuestion("complaint", offer.complaint, cut(at))

    def _place_questions(self, taken: Sequence[Graded], cut: _Slicer) -> Iterator[OpenQuestion]:
        for item in taken:
            places = self.rules.complaints[item.complaint].places
            if places and item.place is None:
                yield OpenQuestion("place", item.complaint, cut(item.at), places)


def listener_of(rules: RuleBase) -> Listener:
    """The listener of a rule base, made once and kept for the last few."""
    for listener in _listeners:
        if listener.rules is rules:
            return listener
    _listeners.append(Listener(rules))
    del _listeners[:-_MOST_KEPT]
    return _listeners[-1]


class _Slicer:
    """Tokens as slices of the text they came from; words side by side are one slice."""

    def __init__(self, text: str, tokens: Sequence[Token]) -> None:
        self._text = text
        self._tokens = tokens

    def __call__(self, at: Sequence[int]) -> Slices:
        spans: list[tuple[int, int]] = []
        last = -2
        for number in sorted(at):
            token = self._tokens[number]
            if spans and (number == last + 1 or token.start < spans[-1][1]):
                spans[-1] = (spans[-1][0], max(spans[-1][1], token.end))
            else:
                spans.append((token.start, token.end))
            last = number
        return tuple(Slice(start, end, self._text[start:end]) for start, end in spans)


def _settle(
    group: Sequence[FoundFact],
    cut: _Slicer,
    sure: list[HeardFact],
    questions: list[OpenQuestion],
    rules: RuleBase,
) -> None:
    """One observation: taken where all that is said of it agrees and is likely, else asked."""
    first = group[0]
    if first.id not in rules.observations:
        return
    states = tuple(dict.fromkeys(fact.state for fact in group))
    if max(fact.sure for fact in group) < FACT_TAKEN:
        if sum(q.asks == "fact" for q in questions) < _MOST_FACTS_ASKED:
            at = sorted({n for fact in group for n in fact.at})
            questions.append(OpenQuestion("fact", first.id, cut(at), states))
    elif len(states) > 1:
        at = sorted({n for fact in group for n in fact.at})
        questions.append(OpenQuestion("fact", first.id, cut(at), states))
    else:
        sure.append(HeardFact(first.id, cut(first.at), _SURE_FACT, state=first.state))


def _settle_readings(
    readings: Sequence[FoundReading],
    cut: _Slicer,
    sure: list[HeardFact],
    questions: list[OpenQuestion],
) -> None:
    """Each reading: the latest where one replaces another, asked where two differ, the end is open
    or it may be none."""
    open_ends: dict[tuple[int, ...], list[FoundReading]] = {}
    grouped: dict[str, list[FoundReading]] = {}
    for item in readings:
        if item.why is None and (item.end_open or item.doubtful):
            open_ends.setdefault(item.at, []).append(item)
        elif item.why is None:
            group = grouped.setdefault(item.id, [])
            if item.replaces:
                group.clear()
            group.append(item)
    for at, items in open_ends.items():
        choices = tuple(item.id for item in items)
        questions.append(OpenQuestion("figure", str(items[0].reading), cut(at), choices))
    for name, group in grouped.items():
        values = tuple(dict.fromkeys(str(item.reading) for item in group))
        at = tuple(sorted({n for item in group for n in item.at}))
        if len(values) > 1:
            questions.append(OpenQuestion("fact", name, cut(at), values))
        else:
            sure.append(HeardFact(name, cut(group[0].at), _SURE_READING, reading=group[0].reading))


def _without_words_for_readings(sure: Sequence[HeardFact]) -> list[HeardFact]:
    """Where an observation was read, what it is called says no more: `chain tight, 20 mm`."""
    read = {fact.observation for fact in sure if fact.reading is not None}
    return [f for f in sure if f.reading is not None or f.observation not in read]


def _not_taken(
    complaints: Sequence[Graded],
    facts: Sequence[FoundFact],
    readings: Sequence[FoundReading],
    cut: _Slicer,
    taken: Collection[str],
) -> Iterator[NotTaken]:
    told: set[tuple[str, str | None, str | None]] = set()
    for item in complaints:
        if item.why is not None:
            yield NotTaken(item.complaint, cut(item.at), item.why, place=item.place)
    for fact in facts:
        key = (fact.id, None, fact.state)
        if fact.why is not None and fact.id not in taken and key not in told:
            told.add(key)
            yield NotTaken(fact.id, cut(fact.at), fact.why, state=fact.state)
    for reading in readings:
        if reading.why is not None:
            yield NotTaken(reading.id, cut(reading.at), reading.why, state=str(reading.reading))


def _remarks(text: str, tokens: Sequence[Token]) -> Iterator[str]:
    if not text.strip():
        yield "Nothing was said."
    elif not any(token.is_word for token in tokens):
        yield "No words that can be read were said."
    if len(text) > LONGEST_LISTENED:
        yield (
            f"The story has {len(text):,} letters; the first {LONGEST_LISTENED:,} were listened to."
            " Nothing of it is lost."
        )
