"""Where phrases stand in a sentence."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from diagnose.listening.phrases import NOT, Phrase
from diagnose.listening.tokens import Token
from diagnose.listening.vocabulary import Vocabulary

MOST_BETWEEN = 2
"""Words, small ones not counted, that may stand between two of a phrase in order."""
_WINDOW = 7
"""Words, small ones not counted, within which a phrase in any order must stand."""
_BREAKS = frozenset(".,!?;\n")
_TURNS = frozenset({"when", "if", "as", "whenever", "and"})

Where = dict[str, list[int]]


@dataclass(frozen=True, slots=True)
class Match:
    """A phrase and the tokens it was found in, in the order of its elements or of the text."""

    phrase: Phrase
    at: tuple[int, ...]


def matches(vocabulary: Vocabulary, tokens: Sequence[Token]) -> list[Match]:
    """Every phrase found, in the order of the vocabulary."""
    where: Where = {}
    tried: set[int] = set()
    for number, token in enumerate(tokens):
        for key in token.keys:
            where.setdefault(key, []).append(number)
            tried.update(vocabulary.first.get(key, ()))
    found: list[Match] = []
    for number in sorted(tried):
        phrase = vocabulary.phrases[number]
        if any(element.isdisjoint(where) for element in phrase.elements):
            continue
        stand = [
            sorted({place for key in element for place in where.get(key, ())})
            for element in phrase.elements
        ]
        looking = _in_order if phrase.ordered else _in_any_order
        found += (Match(phrase, at) for at in looking(vocabulary, tokens, phrase, stand))
    return found


def _in_order(
    vocabulary: Vocabulary, tokens: Sequence[Token], phrase: Phrase, stand: list[list[int]]
) -> Iterator[tuple[int, ...]]:
    for first in stand[0]:
        at = [first]
        for element, close in zip(phrase.elements[1:], phrase.close[1:], strict=True):
            following = _next(vocabulary, tokens, at[-1], element, close)
            if following is None:
                break
            at.append(following)
        else:
            yield tuple(at)


def _next(
    vocabulary: Vocabulary,
    tokens: Sequence[Token],
    after: int,
    element: frozenset[str],
    close: bool,
) -> int | None:
    """Where `element` is met after a token, in its clause and near enough."""
    between = 0
    for number in range(after + 1, len(tokens)):
        token = tokens[number]
        if token.clause != tokens[after].clause or between > (0 if close else MOST_BETWEEN):
            return None
        if token.value is None and (token.word in _BREAKS or (close and token.word in _TURNS)):
            return None
        if not element.isdisjoint(token.keys):
            return number
        if token.stem == NOT and NOT not in element:
            return None
        between += token.word not in vocabulary.small
    return None


def _in_any_order(
    vocabulary: Vocabulary, tokens: Sequence[Token], phrase: Phrase, stand: list[list[int]]
) -> Iterator[tuple[int, ...]]:
    by_clause: list[dict[int, list[int]]] = []
    for places in stand:
        clauses: dict[int, list[int]] = {}
        for place in places:
            clauses.setdefault(_reach(phrase, tokens[place]), []).append(place)
        by_clause.append(clauses)
    for clause in sorted(set(by_clause[0]).intersection(*by_clause[1:])):
        best = min(
            (
                spread
                for first in by_clause[0][clause]
                if (spread := _around(vocabulary, tokens, first, by_clause, clause)) is not None
            ),
            default=None,
        )
        if best is not None:
            yield best[1]


def _reach(phrase: Phrase, token: Token) -> int:
    """The number of what a phrase must stand in: what goes wrong, and when, are told apart."""
    if phrase.wide:
        return token.sentence
    return token.reach if phrase.kind == "complaint" else token.clause


def _around(
    vocabulary: Vocabulary,
    tokens: Sequence[Token],
    first: int,
    by_clause: Sequence[dict[int, list[int]]],
    clause: int,
) -> tuple[int, tuple[int, ...]] | None:
    """(words spanned, tokens) of a phrase around one of its words, each word as near as can be."""
    at = [first]
    for clauses in by_clause[1:]:
        free = [place for place in clauses[clause] if place not in at]
        if not free:
            return None
        at.append(min(free, key=lambda place: abs(place - first)))
    spanned = range(min(at), max(at) + 1)
    words = sum(tokens[place].word not in vocabulary.small for place in spanned)
    return (words, tuple(sorted(at))) if words <= _WINDOW else None
