"""From phrases found to complaints: which phrase may have which words, and how sure each is."""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

from diagnose.listening.ends import Ends
from diagnose.listening.heard import Why
from diagnose.listening.matching import Match
from diagnose.listening.phrases import NOT
from diagnose.listening.scope import Scope
from diagnose.listening.tokens import Token
from diagnose.listening.vocabulary import BIKE, BOTH, OTHER_PART, Vocabulary

TAKEN, ASKED = 0.5, 0.12
"""From this sureness on a complaint is taken, or asked about."""
_MOST_SURE, _HINTED = 0.85, 0.4
_SCALE = 1.2  # nats after which a phrase says two thirds of what it can
_FAR = 1.8  # nats lost where a part of it stands in a clause that tells when
_GAP = 0.15  # nats lost for each word between those of a phrase
_SAID, _NOT_SAID = 0.3, -2.0  # which of two phrases has the words they share
_SURE_BESIDE = 0.7  # a second complaint is taken from this sureness on
_SHARED = 0.34  # from this much on it is only asked about
_CLAIMED = 0.6  # a phrase falls when others have this much of it
_NEAR = 3
_OF_A_NOUN = frozenset({"the", "my", "our", "his", "her", "their", "those", "these"})
_PERSONS = frozenset({"he", "we", "who", "you"})
_THE_BIKE = frozenset({"it", "she"})
_TOP = 5


@dataclass(slots=True)
class Graded:
    """A complaint at a place (None where it has none, or none was named), or why it does not count.

    `core` are its tokens other than those of an end; `is_doubted`: it is said of a stranger or of
    another end, and asked about at most.
    """

    complaint: str
    place: str | None
    at: tuple[int, ...]
    core: tuple[int, ...]
    sure: float
    why: Why | None
    is_doubted: bool = False

    @property
    def rank(self) -> tuple[int, float]:
        """What comes first: taken, denied, asked, put aside, too unsure to ask."""
        if self.why is not None:
            return (4 if self.why == "denied" else 2), self.sure
        return (_TOP if self.sure >= TAKEN else 3 if self.sure >= ASKED else 1), self.sure


@dataclass(frozen=True, slots=True)
class _Hit:
    match: Match
    core: tuple[int, ...]
    told: float
    shared: bool = False  # a more telling hit of another complaint has one of its words


def graded(
    vocabulary: Vocabulary,
    tokens: Sequence[Token],
    found: Sequence[Match],
    scope: Scope,
    ends: Ends,
) -> tuple[list[Graded], set[int]]:
    """The complaints, surest first, and the denials that are words of one (`won't turn`)."""
    hits = _hits(vocabulary, tokens, found)
    hits = _claimed([hit for hit in hits if not _of_nearer_part(vocabulary, tokens, hit)])
    hits = [hit for hit in hits if not of_other_part(vocabulary, tokens, hit.match.at, hit.core)]
    best: dict[tuple[str, str | None], Graded] = {}
    part_of: dict[str, set[int]] = {}
    for hit in hits:
        denials = {n for n in hit.match.at if tokens[n].stem == NOT}
        part_of.setdefault(hit.match.phrase.owner, set()).update(denials)
    spent: set[int] = set()
    for hit in hits:
        phrase, at = hit.match.phrase, hit.match.at
        why = scope.of(at, hit.core, part_of[phrase.owner])
        if why is None and _sureness(hit) >= TAKEN:
            spent.update(n for n in at if tokens[n].stem == NOT)
        places = vocabulary.rules.complaints[phrase.owner].places
        is_doubted = of_a_stranger(vocabulary, tokens, hit.core) or _of_other_end(
            vocabulary, tokens, hit
        )
        others = {n for h in hits if h.match.phrase.owner != phrase.owner for n in h.core}
        named: list[tuple[str | None, float]] = [
            (end, sure) for end, sure in ends.of(at, others - {*at}) if end in places
        ]
        for place, sure_of_end in named or [(None, 1.0)]:
            sure = min(_sureness(hit), _HINTED) if is_doubted else _sureness(hit)
            # with_end and a sure end, and nothing else that could be meant
            if phrase.level == "with_end" and place and sure_of_end >= 0.7:
                rivals = (h for h in hits if h.match.phrase.owner != phrase.owner)
                if not any(_share_clause(tokens, hit, rival) for rival in rivals):
                    sure = TAKEN
            _add(best, Graded(phrase.owner, place, at, hit.core, sure, why, is_doubted))
    _doubt_weak_seconds(best.values())
    for name in {g.complaint for g in best.values() if g.place is not None and g.rank[0] == _TOP}:
        best.pop((name, None), None)  # an end left open, beside the same with its end
    return sorted(best.values(), key=lambda g: (-g.rank[0], -g.sure, g.at)), spent


def _doubt_weak_seconds(found: Collection[Graded]) -> None:
    """Beside a sure complaint, a weak one is rather another word for it: it is asked about."""
    sure = {g.complaint for g in found if g.why is None and g.sure >= _SURE_BESIDE}
    for item in found:
        if TAKEN <= item.sure < _SURE_BESIDE and sure - {item.complaint}:
            item.sure = _HINTED


def _hits(vocabulary: Vocabulary, tokens: Sequence[Token], found: Sequence[Match]) -> list[_Hit]:
    aside = {n for match in found if match.phrase.kind == "set-aside" for n in match.at}
    hits = []
    for match in found:
        if match.phrase.kind != "complaint":
            continue
        core = tuple(n for n in match.at if not tokens[n].lists & vocabulary.broad) or match.at
        if all(n in aside for n in core if tokens[n].word not in vocabulary.small or n == core[0]):
            continue
        told = sum(vocabulary.worth(match.phrase, tokens[n].keys) for n in match.at)
        between = max(match.at) - min(match.at) + 1 - len(match.at)
        first, last = tokens[min(match.at)], tokens[max(match.at)]
        if first.clause != last.clause and not match.phrase.wide:
            told -= _FAR
        bonus = _SAID if match.phrase.level == "said" else _NOT_SAID
        hits.append(_Hit(match, core, told - _GAP * between + bonus))
    return sorted(hits, key=lambda h: (-h.told, h.match.phrase.owner, h.match.at))


def _claimed(hits: Sequence[_Hit]) -> list[_Hit]:
    """The hits whose words no more telling hit of another complaint has."""
    owner: dict[int, str] = {}
    kept = []
    for hit in hits:
        name = hit.match.phrase.owner
        lost = sum(owner.get(n, name) != name for n in hit.core)
        if lost >= _CLAIMED * len(hit.core):
            continue
        shared = lost > 0 and lost >= _SHARED * len(hit.core)
        for n in hit.core if not shared else ():
            owner.setdefault(n, name)
        kept.append(replace(hit, shared=shared))
    return kept


def of_other_part(
    vocabulary: Vocabulary, tokens: Sequence[Token], at: Sequence[int], core: Sequence[int]
) -> bool:
    """Whether the part named nearest, or first in the clause, is not ours: a stiff kickstart."""
    clause = tokens[at[0]].clause

    def nearest(lists: frozenset[str]) -> int:
        return min(
            (
                min(abs(number - x) for x in core)
                for number, token in enumerate(tokens)
                if token.clause == clause and lists & token.lists
            ),
            default=99,
        )

    other = nearest(frozenset({OTHER_PART}))
    words = (t for t in tokens if t.clause == clause and t.word not in vocabulary.small)
    is_subject = any(OTHER_PART in token.lists for token in list(words)[:1])
    return (other <= _NEAR or is_subject) and other < nearest(vocabulary.own_parts)


def _of_nearer_part(vocabulary: Vocabulary, tokens: Sequence[Token], hit: _Hit) -> bool:
    """Whether another part of ours stands between what is said and the part that it would be said
    of: `leaning on the bars the fork is sticky`."""
    own = vocabulary.own_parts
    parts = [n for n in hit.match.at if n not in hit.core]
    if not parts or max(parts) > min(hit.core):
        return False
    lists = {name for n in parts for name in tokens[n].lists & own}
    between = range(max(parts) + 1, min(hit.core))
    return any(tokens[n].lists & own and lists.isdisjoint(tokens[n].lists) for n in between)


def of_a_stranger(vocabulary: Vocabulary, tokens: Sequence[Token], core: Sequence[int]) -> bool:
    """Whether it is said of a person or of a thing unknown here: `the marshals were harsh`."""
    first = min(core)
    clause = [t for t in tokens if t.clause == tokens[first].clause]
    known = vocabulary.own_parts | {BOTH, BIKE}
    if any(token.lists & known for token in clause):
        return False
    before = [n for n in range(first) if tokens[n].clause == tokens[first].clause]
    if before and tokens[before[-1]].word in _THE_BIKE:
        return False
    while before and tokens[before[-1]].word in vocabulary.small - _PERSONS:
        before.pop()
    if not before:
        return False
    subject = tokens[before[-1]]
    if subject.word in _PERSONS:
        return True
    named = len(before) > 1 and tokens[before[-2]].word in _OF_A_NOUN
    return named and subject.is_word and not subject.lists - {OTHER_PART}


def _of_other_end(vocabulary: Vocabulary, tokens: Sequence[Token], hit: _Hit) -> bool:
    """Whether it is said of another end than it is at: `the fork kicks back at me`."""
    own = vocabulary.heard_of.get(hit.match.phrase.owner)
    if own is None or len(hit.core) < len(hit.match.at):
        return False
    first = min(hit.core)
    before = [t for t in tokens[:first] if t.clause == tokens[first].clause]
    named = {end for token in before for end in token.lists & (vocabulary.ends | {BOTH})}
    return bool(named) and named.isdisjoint({own.upper(), BOTH})


def _sureness(hit: _Hit) -> float:
    if hit.match.phrase.level != "said" or hit.shared:
        return _HINTED
    return _MOST_SURE * (1 - math.exp(-max(hit.told, 0.3) / _SCALE))


def _share_clause(tokens: Sequence[Token], one: _Hit, other: _Hit) -> bool:
    said = other.match.phrase.level == "said"
    return said and tokens[one.match.at[0]].clause == tokens[other.match.at[0]].clause


def _add(best: dict[tuple[str, str | None], Graded], new: Graded) -> None:
    """Keep the better of two; saying the same in other words, each makes the other surer."""
    key = (new.complaint, new.place)
    old = best.get(key)
    if old is None:
        best[key] = new
        return
    first, second = (new, old) if new.rank > old.rank else (old, new)
    of_other_words = set(first.core).isdisjoint(second.core)
    if of_other_words and first.why == second.why and first.rank[0] == second.rank[0]:
        first.sure = 1 - (1 - first.sure) * (1 - second.sure)
    best[key] = first
