"""A fact or complaint that nobody asked for: what was heard in the words, and what is near them."""

from __future__ import annotations

import re
from collections.abc import Collection
from dataclasses import dataclass

from diagnose.case.events import Answered, Complained, read_answer
from diagnose.listening.listen import Listener
from rules.problems import BadInput
from rules.rulebase import RuleBase
from rules.units.quantities import with_unit
from rules.units.unit_table import unit_key, unit_spellings

_MOST = 9
_FIGURE = re.compile(r"([-+]?\d+(?:[.,]\d+)?)\s*([^\s\d]*)")


@dataclass(frozen=True, slots=True)
class FactsNear:
    """What words tell. `heard` is said for sure, and so are `complaints`, each to be asked before
    it is added; an observation that is only `meant` perhaps shares words with them, and is to be
    asked before anything counts."""

    heard: tuple[Answered, ...] = ()
    meant: tuple[str, ...] = ()
    complaints: tuple[Complained, ...] = ()


def facts_near(
    listener: Listener,
    text: str,
    hidden: Collection[str] = frozenset(),
    already: Collection[Complained] = (),
) -> FactsNear:
    """What is surely said in `text`, and at most nine observations that may be meant, those that
    the listener itself would ask about first; none is `hidden`, and no complaint is there
    `already`, at that end or at one that was not said."""
    if not text.strip():
        return FactsNear()
    story = listener.listen(text)
    heard = tuple(fact.event for fact in story.facts if fact.observation not in hidden)
    asked = [
        name
        for question in story.questions
        for name in (question.choices if question.asks == "figure" else (question.id,))
        if question.asks in ("figure", "fact")
    ]
    without = {*hidden, *(answer.observation for answer in heard)}
    found = dict.fromkeys((*asked, *listener.near_facts(_FIGURE.sub(r" \2 ", text))))
    meant = tuple(name for name in found if name not in without)[:_MOST]
    told = tuple(complaint.event for complaint in story.complaints)
    return FactsNear(heard, meant, tuple(one for one in told if not _is_among(one, already)))


def _is_among(one: Complained, already: Collection[Complained]) -> bool:
    places = {told.place for told in already if told.complaint == one.complaint}
    return bool(places) and (one.place is None or not places.isdisjoint({one.place, None}))


def reading_in(rules: RuleBase, observation: str, text: str) -> Answered | None:
    """The first figure in `text` that can be a reading of this; a bare one is in its own unit."""
    unit = rules.observations[observation].unit
    if unit is None:
        return None
    for figure, word in _FIGURE.findall(text):
        written = f"{figure} {word}" if unit_key(word) in unit_spellings() else figure
        try:
            return read_answer(rules, observation, with_unit(written, unit))
        except BadInput:
            continue
    return None
