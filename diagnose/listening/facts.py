"""From phrases found to observations in one of their states, and to traits of the bike."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from diagnose.listening.ends import Ends
from diagnose.listening.heard import Why
from diagnose.listening.matching import Match
from diagnose.listening.scope import Scope
from diagnose.listening.tokens import Token
from diagnose.listening.vocabulary import FINE, OTHER_PART, Vocabulary

_FINE_BEFORE = 4
_IS = frozenset({"is", "was", "are", "were"})
_OF_THE_PAST = "history"


@dataclass(frozen=True, slots=True)
class FoundFact:
    """An observation or trait in a state, or why it does not count. `phrase` found it; what is not
    `sure` (0 to 1) is asked about, as is one of which no end was said where there are two."""

    id: str
    state: str
    at: tuple[int, ...]
    told: float
    why: Why | None = None
    phrase: str = ""
    sure: float = 1.0
    end_open: bool = False

    @property
    def key(self) -> str:
        """The observation and its state, as weights name them."""
        return f"{self.id}={self.state}"


def facts_in(
    vocabulary: Vocabulary,
    tokens: Sequence[Token],
    found: Sequence[Match],
    scope: Scope,
    ends: Ends,
    spent: set[int],
) -> list[FoundFact]:
    """Every fact said, the most telling first."""
    looks_like = {
        (match.phrase.owner, n)
        for match in found
        if match.phrase.kind == "no-fact"
        for n in match.at
    }
    facts: list[FoundFact] = []
    for match in found:
        if match.phrase.kind not in {"fact", "trait"}:
            continue
        name = match.phrase.owner
        if any((name, n) in looks_like for n in match.at):
            continue
        place = vocabulary.heard_of.get(match.phrase.name[1])
        said = [end for end, _ in ends.of(match.at)] if place is not None else []
        end_open = place is not None and not said and name in vocabulary.twins
        is_here = place is None or place in said or end_open
        if not is_here or _of_other_part(vocabulary, tokens, match):
            continue
        core = tuple(n for n in match.at if not tokens[n].lists & vocabulary.ends) or match.at
        why = scope.of(match.at, core, spent)
        if end_open and why is not None:
            continue
        told = sum(vocabulary.worth(match.phrase, tokens[n].keys) for n in match.at)
        stated = _stated(vocabulary, tokens, match, why, told)
        facts += [replace(fact, end_open=end_open) for fact in stated]
    return sorted(facts, key=lambda fact: (-fact.told, fact.id, fact.at))


def _stated(
    vocabulary: Vocabulary, tokens: Sequence[Token], match: Match, why: Why | None, told: float
) -> Iterator[FoundFact]:
    name, state = match.phrase.owner, match.phrase.state
    entry = vocabulary.rules.observations.get(name)
    if why == "past" and entry is not None and entry.kind == _OF_THE_PAST:
        why = None  # what was done to a bike was done in the past
    if entry is not None and entry.phase and state == "yes":
        if _fine_after(vocabulary, tokens, match):
            state, why = "no", None if why == "denied" else why
        elif why == "denied":
            return  # "not the front, over braking bumps": the place is still where it shows
        elif _fine_there(vocabulary, tokens, match):
            state = "no"
    if why == "denied":
        denied = vocabulary.denied.get(name)
        if denied is None and state == "yes" and entry is not None and "no" in entry.states:
            denied = "no"
        if denied is not None:
            yield FoundFact(name, denied, match.at, told, phrase=match.phrase.text)
            return
    yield FoundFact(name, state, match.at, told, why, match.phrase.text)


def _of_other_part(vocabulary: Vocabulary, tokens: Sequence[Token], match: Match) -> bool:
    """Whether its clause is about a part that is none of ours, unless the phrase itself names it:
    `exhaust rattles when cold`, but not `engine mount loose`."""
    if any(OTHER_PART in tokens[n].lists for n in match.at):
        return False
    clause = tokens[match.at[0]].clause
    lists = {name for token in tokens if token.clause == clause for name in token.lists}
    return OTHER_PART in lists and lists.isdisjoint(vocabulary.own_parts)


def _fine_there(vocabulary: Vocabulary, tokens: Sequence[Token], match: Match) -> bool:
    """Whether it is said to be well where this would be: `fine in the whoops`."""
    first = min(match.at)
    before = range(max(0, first - _FINE_BEFORE), first)
    return any(FINE in tokens[n].lists and tokens[n].clause == tokens[first].clause for n in before)


def _fine_after(vocabulary: Vocabulary, tokens: Sequence[Token], match: Match) -> bool:
    """Whether it is said to be well right after where this would be: `on landings it is fine`."""
    after, is_said = max(match.at) + 1, False
    clause = tokens[max(match.at)].clause
    while after < len(tokens) and tokens[after].word in vocabulary.glue:
        is_said = is_said or tokens[after].word in _IS
        after += 1
    within = after < len(tokens) and tokens[after].clause == clause
    return is_said and within and FINE in tokens[after].lists


Grouped = dict[str, list[FoundFact]]


def by_name(facts: Sequence[FoundFact], chosen: Callable[[FoundFact], bool]) -> Grouped:
    """The chosen facts by observation or trait, without those whose words a more telling one of
    another state has."""
    grouped: Grouped = {}
    for fact in facts:
        if chosen(fact):
            others = grouped.setdefault(fact.id, [])
            if not any(set(fact.at) & set(other.at) for other in others):
                others.append(fact)
    return grouped
