"""A fact that nobody asked for: what was heard in the words, and what comes near them."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator
from dataclasses import dataclass

from diagnose.case.events import Answered, read_answer
from diagnose.listening.complaints import find_by_words
from diagnose.listening.listen import Listener
from rules.problems import BadInput
from rules.rulebase import RuleBase
from rules.units.quantities import with_unit
from rules.units.unit_table import unit_key, unit_spellings

_MOST = 9
_FIGURE = re.compile(r"([-+]?\d+(?:[.,]\d+)?)\s*([^\s\d]*)")


@dataclass(frozen=True, slots=True)
class FactMatch:
    """An observation that may be meant, with the answer where that is clear; `heard` where the
    listener took it so from the words."""

    observation: str
    answer: Answered | None
    heard: bool = False


def facts_heard(listener: Listener, text: str) -> tuple[Answered, ...]:
    """The facts and readings that are surely said in `text`."""
    return tuple(fact.event for fact in listener.listen(text).facts)


def facts_near(
    listener: Listener, text: str, hidden: Collection[str] = frozenset()
) -> list[FactMatch]:
    """At most nine observations that `text` may tell of, what was heard first; none is `hidden`."""
    if not text.strip():
        return []
    story, rules = listener.listen(text), listener.rules
    found: dict[tuple[str, Answered | None], FactMatch] = {}
    heard = [fact.event for fact in (*story.facts, *story.pending)]
    for question in story.questions:
        if question.asks == "figure":
            heard += [read_answer(rules, name, question.id) for name in question.choices]
        elif question.asks == "fact":
            heard += [read_answer(rules, question.id, choice) for choice in question.choices]
    for answer in heard:
        if answer.observation not in hidden:
            match = FactMatch(answer.observation, answer, heard=True)
            found.setdefault((answer.observation, answer), match)
    named = {match.observation for match in found.values()}
    for match in _near(rules, text, named | set(hidden)):
        found.setdefault((match.observation, match.answer), match)
    return list(found.values())[:_MOST]


def _near(rules: RuleBase, text: str, without: Collection[str]) -> Iterator[FactMatch]:
    words = _FIGURE.sub(r" \2", text).strip()
    if not words:
        return
    sayings = {
        key: [f"{entry.ask} {state}" for state in entry.states.values()]
        for key, entry in rules.observations.items()
        if key not in without
    }
    for name in find_by_words(sayings, words, _MOST):
        entry = rules.observations[name]
        if entry.kind == "measurement":
            yield FactMatch(name, _reading(rules, name, text))
        elif set(entry.states) == {"no", "yes"}:
            yield FactMatch(name, Answered(name, "yes"))
        else:
            said = {state: [label] for state, label in entry.states.items()}
            state = next(iter(find_by_words(said, words, 1)), None)
            yield FactMatch(name, Answered(name, state) if state else None)


def _reading(rules: RuleBase, name: str, text: str) -> Answered | None:
    """The first figure in `text` that can be a reading of this; a bare one is in its own unit."""
    unit = rules.observations[name].unit or ""
    for figure, word in _FIGURE.findall(text):
        written = f"{figure} {word}" if unit_key(word) in unit_spellings() else figure
        try:
            return read_answer(rules, name, with_unit(written, unit))
        except BadInput:
            continue
    return None
