"""Which end of the bike is meant."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from itertools import pairwise

from diagnose.listening.scope import Scope
from diagnose.listening.tokens import Token
from diagnose.listening.vocabulary import AT, BOTH, EACH, END_OPEN, RIGHT_TOO, SIDES, Vocabulary

_ON_BOTH = frozenset({"both", "each", "apiece"})
_OF_BIKE = frozenset({"end", "ends", "of", "tyre", "tyres", "wheels"})
_OF_AN_END = frozenset({"one", "end", "wheel", "side", "mostly", "mainly"})
_ADDING = frozenset({("that", "is"), ("i", "mean"), ("i", "think"), ("i", "reckon")})
_APART = 3
"""So many words between two figures of one list, or from an end to the first of them."""
_LEGS = frozenset(
    {"adjusters", "leg", "legs", "tube", "tubes", "fork", "forks", "side", "sides", "stanchions"}
)


class Ends:
    """The ends that a text names, and which of them its words mean."""

    def __init__(self, vocabulary: Vocabulary, tokens: Sequence[Token], scope: Scope) -> None:
        self._tokens = tokens
        self._small = vocabulary.small
        self._all = tuple(sorted(vocabulary.ends))
        self._named: dict[int, str] = {}
        self._implied: dict[int, str] = {}
        self._each = {token.clause for token in tokens if EACH in token.lists}
        for number, token in enumerate(tokens):
            names = token.lists & (vocabulary.ends | {BOTH})
            parts = {end for end in vocabulary.ends if AT + end in token.lists}
            if parts:
                self._implied[token.sentence] = min(parts)
            is_open = END_OPEN in token.lists
            if names and not is_open and not scope.is_end_denied(number):
                self._named[number] = BOTH if BOTH in names else min(names)

    def of(self, at: Sequence[int], others: Collection[int] = ()) -> list[tuple[str, float]]:
        """(end, how sure) of what is said at these tokens: named by them, else nearest in the
        clause, in one before, in one after without a figure; where a part of the sentence is
        (`the headstock`); in the sentence before, both in the one after; or none. `others`: the
        tokens of what else is said."""
        tokens = self._tokens
        clause, sentence = tokens[at[0]].clause, tokens[at[0]].sentence
        own = [n for n in at if not self._is_of_another(n, at, others)]
        inside = [self._named[n] for n in own if n in self._named]
        here = self._among(lambda t: t.clause == clause)
        here = [n for n in here if not self._is_of_another(n, at, others)]
        if BOTH in inside or BOTH in (self._named[n] for n in here):
            return self._ends(BOTH, 1.0)
        if inside:
            return self._ends(inside[0], 1.0)
        if here:
            nearest = min(here, key=lambda n: min(abs(n - x) for x in at) + 0.5 * (n > max(at)))
            return self._ends(self._named[nearest], 0.9)
        if clause in self._each:
            return self._ends(BOTH, 0.9)
        return self._of_another_clause(clause, sentence)

    def _of_another_clause(self, clause: int, sentence: int) -> list[tuple[str, float]]:
        """The end named last in a clause before, else first in one after without a figure, else
        in another sentence."""
        tokens = self._tokens
        figures = {token.clause for token in tokens if token.value is not None}
        before = self._among(lambda t: t.sentence == sentence and t.clause < clause)
        with_figure = [n for n in before if tokens[n].clause in figures]
        of_both = {self._named[n] for n in with_figure}
        if BOTH in of_both or len(of_both) > 1:  # "front 13, rear 12, and it ..."
            before = [n for n in before if n not in with_figure]
        if before:
            return self._ends(self._named[max(before)], 0.7)
        after = self._among(
            lambda t: t.sentence == sentence and t.clause > clause and t.clause not in figures
        )
        if after:
            return self._ends(self._named[min(after)], 0.6)
        added = self._added(sentence + 1)
        if added is not None:
            return self._ends(self._named[added], 0.7)
        return self._of_another_sentence(sentence)

    def _added(self, sentence: int) -> int | None:
        """The end that the next sentence adds to this one: `It groans. The front, that is.`, or
        goes on to after a semicolon: `it will not come up; the tail stays down`."""
        tokens = [(n, t) for n, t in enumerate(self._tokens) if t.sentence == sentence]
        named = [n for n, _ in tokens if n in self._named]
        if not named:
            return None
        figures = {t.clause for _, t in tokens if t.value is not None}
        if tokens[0][1].word == ";":
            return named[0] if self._tokens[named[0]].clause not in figures else None
        first = tokens[1][1].clause if len(tokens) > 1 else -1
        lead = [n for n, t in tokens if t.is_word and t.clause == first]
        rest = [t.word for _, t in tokens if t.is_word and t.clause != first]
        is_end_only = all(
            n in self._named or self._tokens[n].word in self._small | _OF_AN_END for n in lead
        )
        adds = not rest or tuple(rest[:2]) in _ADDING or rest[0] in _OF_AN_END
        return named[0] if named[0] in lead and is_end_only and adds else None

    def _is_of_another(self, end: int, at: Sequence[int], others: Collection[int]) -> bool:
        """Whether an end is said of something else in the clause: `skips over roots and squeaks
        behind` squeaks there."""
        if end - 1 not in others:
            return False
        first = min(at)
        joins = [n for n in range(first, end) if self._tokens[n].word == "and"]
        content = [n for n in range(first, end) if self._tokens[n].word not in self._small]
        return any(sum(n < join for n in content) > 1 for join in joins)

    def _of_another_sentence(self, sentence: int) -> list[tuple[str, float]]:
        """Where a part of this one is; else the end named last in the sentence before; else both,
        where the next says so."""
        earlier = self._among(lambda t: t.sentence == sentence - 1)
        if sentence in self._implied:
            return self._ends(self._implied[sentence], 0.5)
        if earlier:
            return self._ends(self._named[max(earlier)], 0.5)
        later = self._among(lambda t: t.sentence == sentence + 1)
        both = [n for n in later if self._named[n] == BOTH and self._tokens[n].value is None]
        return self._ends(BOTH, 0.5) if both else []

    def of_figure(self, number: int) -> list[str]:
        """The ends of a figure: where figures and ends take turns, each figure has the end that
        goes with it; else the nearest in its clause, else what the sentence is about."""
        tokens = self._tokens
        in_turn = _in_turn(tokens, number, self._named)
        if in_turn is not None:
            return self._names(self._named[in_turn])
        following = self._led_to(number)
        if following is None:
            following = self._closed_by(number)
        if following is not None:
            return self._names(self._named[following])
        same = self._among(lambda t: t.clause == tokens[number].clause)
        spent = {self._led_to(n) for n in range(number) if tokens[n].value is not None}
        same = [n for n in same if n not in spent]
        if same:
            nearest = min(same, key=lambda n: abs(n - number) - 0.4 * (n > number))
            return self._names(self._named[nearest])
        if tokens[number].clause in self._each or self._is_on_each(number):
            return self._names(BOTH)
        listed = self._of_list(number)
        if listed is not None:
            return self._names(self._named[listed])
        return [end for end, _ in self.of((number,))]

    def _is_on_each(self, number: int) -> bool:
        """Whether the figure is of both of what its sentence named: `the tyres, both on 15`."""
        here = self._tokens[number]
        beside = [t for t in self._tokens if t.sentence == here.sentence]
        both = any(t.word in _ON_BOTH and t.clause == here.clause for t in beside)
        return both and any(EACH in t.lists and t.clause < here.clause for t in beside)

    def _of_list(self, number: int) -> int | None:
        """The end that closes a list of figures, where none is named before: `comp 12, reb 12 on
        the fork`."""
        tokens = self._tokens
        clause, sentence = tokens[number].clause, tokens[number].sentence
        if self._among(lambda t: t.sentence == sentence and t.clause < clause):
            return None
        later = self._among(lambda t: t.sentence == sentence and t.clause == clause + 1)
        figures = [t for t in tokens if t.clause == clause + 1 and t.value is not None]
        return later[0] if len(later) == len(figures) == 1 else None

    def in_clause(self, number: int) -> bool:
        """Whether an end is named in the clause of a figure."""
        return bool(self._among(lambda t: t.clause == self._tokens[number].clause))

    def leads(self, number: int) -> bool:
        """Whether an end is named in the clause of a figure, or before it in its sentence other
        than with a figure of its own."""
        tokens = self._tokens
        clause, sentence = tokens[number].clause, tokens[number].sentence
        figures = {t.clause for t in tokens if t.value is not None} - {clause}
        before = self._among(
            lambda t: t.sentence == sentence and t.clause <= clause and t.clause not in figures
        )
        spent = {self._led_to(n) for n in range(number) if tokens[n].value is not None}
        free = [n for n in before if n not in spent]
        here = [n for n in self._among(lambda t: t.clause == clause) if n not in spent]
        return bool(here) or len({self._named[n] for n in free}) == 1

    def _led_to(self, number: int) -> int | None:
        """The end that small words lead to from a figure: `14 in the rear`."""
        at = number + 1
        while at < len(self._tokens) and self._tokens[at].word in self._small - {"and"}:
            at += 1
        return at if at > number + 1 and at in self._named else None

    def _closed_by(self, number: int) -> int | None:
        """The end that closes the figures of a clause: `the shock is new comp 12 reb 10 on the
        fork`, unless one right before them leads; or each run of them, where the clause begins
        with a figure and ends with an end: `reb 8 comp 10 forks reb 12 comp 14 shock`."""
        tokens = self._tokens
        clause = [n for n, t in enumerate(tokens) if t.clause == tokens[number].clause]
        said = [n for n in clause if n in self._named or tokens[n].value is not None]
        ends = [n for n in said if n in self._named and n > number]
        if not ends:
            return None
        if said[0] not in self._named and said[-1] in self._named:
            return ends[0]
        run = [n for n in said if n not in self._named and number <= n < ends[0]]
        first = run[0]
        for n in reversed([n for n in said if n < number]):
            if n in self._named or first - n > _APART:
                break
            first = n
        leads = any(n in self._named for n in range(max(clause[0], first - _APART), first))
        is_close = all(other - one <= _APART for one, other in pairwise(run))
        is_last = ends[0] >= said[-1] and is_close and len(run) > 1
        return ends[0] if is_last and not leads and self._led_to(run[-1]) is not None else None

    def _among(self, chosen: Callable[[Token], bool]) -> list[int]:
        return [n for n in self._named if chosen(self._tokens[n])]

    def _ends(self, name: str, sure: float) -> list[tuple[str, float]]:
        return [(end, sure) for end in self._names(name)]

    def _names(self, name: str) -> list[str]:
        return [end.lower() for end in (self._all if name == BOTH else (name,))]


class Sides:
    """The sides of the bike that a text names, and which of them its figures mean."""

    def __init__(self, tokens: Sequence[Token]) -> None:
        self._tokens = tokens
        named = {
            n: side for n, t in enumerate(tokens) for name, side in SIDES.items() if name in t.lists
        }
        left = {tokens[n].sentence for n, side in named.items() if side == "left"}
        named |= {
            n: "right"
            for n, t in enumerate(tokens)
            if RIGHT_TOO in t.lists and not left.isdisjoint({t.sentence, t.sentence - 1})
        }
        self._named = {n: side for n, side in named.items() if named.get(n + 1) != side}
        legs = {token.clause for token in tokens if token.word in _LEGS}
        self._both = {
            one.clause
            for one, other in pairwise(tokens)
            if one.word == "apiece" or (one.word in _ON_BOTH and other.word not in _OF_BIKE)
            if one.clause in legs
        }

    def of_figure(self, number: int) -> frozenset[str]:
        """The sides of a figure: where figures and sides take turns, the one that goes with it;
        else the nearest in its clause; none where no side is said."""
        clause = self._tokens[number].clause
        in_turn = _in_turn(self._tokens, number, self._named)
        if in_turn is not None:
            return frozenset({self._named[in_turn]})
        if clause in self._both:
            return frozenset(SIDES.values())
        same = [n for n in self._named if self._tokens[n].clause == clause]
        if not same:
            return frozenset()
        return frozenset(
            {self._named[min(same, key=lambda n: abs(n - number) - 0.4 * (n > number))]}
        )


def _in_turn(tokens: Sequence[Token], number: int, named: Collection[int]) -> int | None:
    """The place that goes with a figure where figures and places take turns in its sentence:
    `28 in front and 32 in back`, `left 2.3 bar, right 2.1`. Laps and speeds take no turn."""
    sentence = tokens[number].sentence
    figures = {n for n, t in enumerate(tokens) if t.value is not None and (t.units or not t.lists)}
    turns = [
        n
        for n, token in enumerate(tokens)
        if token.sentence == sentence and (n in figures or n in named)
    ]
    kinds = [n in figures for n in turns]
    alternate = all(one != other for one, other in pairwise(kinds))
    if number in turns and len(turns) > 2 and len(turns) % 2 == 0 and alternate:
        return turns[turns.index(number) + (1 if kinds[0] else -1)]
    return None
