"""From figures in a sentence to readings: what was measured, by its noun, its unit and its size."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from diagnose.listening.ends import Ends, Sides
from diagnose.listening.figure_roles import FigureWords
from diagnose.listening.heard import Why
from diagnose.listening.matching import Match
from diagnose.listening.scope import Scope
from diagnose.listening.tokens import Token
from diagnose.listening.vocabulary import BOTH, PERSON, RIGHT_TOO, SIDES, Vocabulary
from rules.language.rider_words import About
from rules.units.quantities import Quantity, units_like

_REACH, _REACH_OF_LONG = 6.0, 8.0
_CLAUSE_AWAY = 3.0
_AFTER = 0.6
_OF_ANOTHER = 2.0  # a noun that goes with another figure
_PER_WORD = 0.8  # a noun of several words is heard from further away
_AROUND = 4
_FEW = 3  # words of a clause that only adds a figure
_ALONE = 7.0
_HEADED = 5.0  # how far what heads a sentence is from any figure in it
_PERSONS = frozenset({"i", "he", "she", "we"})
_WEIGHTS = frozenset({"kg", "lb", "st"})
_JOINS = frozenset({"and", "/", "&"})
_LIST = 2  # so many figures are a list, and so many marks join two of them
_FAR, _FAR_NOW, _FAR_PRINTED = 6, 9, 12
"""Words between two figures of one unit: any, one of now, one of the manual's."""
_LINKS = _JOINS | {"to", "now", "-"}


@dataclass(frozen=True, slots=True)
class FoundReading:
    """A reading, or why it does not count. The later of two figures `replaces` the one before;
    `end_open`: it may be this one or the like one at the other end; `doubtful`: it may be none."""

    id: str
    reading: Quantity
    at: tuple[int, ...]
    distance: float
    why: Why | None = None
    replaces: bool = False
    end_open: bool = False
    doubtful: bool = False


@dataclass(frozen=True, slots=True)
class _Candidate:
    distance: float
    bare: bool
    name: str
    about: About
    noun: tuple[int, ...]


def readings_in(
    vocabulary: Vocabulary,
    tokens: list[Token],
    found: Sequence[Match],
    scope: Scope,
    ends: Ends,
) -> list[FoundReading]:
    """Every reading said, in the order of the text."""
    figures = [n for n, token in enumerate(tokens) if token.value is not None]
    around, sides = FigureWords(vocabulary, tokens, figures), Sides(tokens)
    _inherit_units(vocabulary, tokens, figures, around)
    pairs = _pairs(tokens, figures)
    said = _said(vocabulary, tokens, found, figures, around.about)
    readings: list[FoundReading] = []
    last: list[_Candidate] = []
    last_whose = ""
    before: dict[int, tuple[str, list[_Candidate]]] = {}
    for number in figures:
        if around.is_none(number):
            continue
        whose = around.whose(number)
        side, named = sides.of_figure(number), ends.of_figure(number)
        candidates = list(_candidates(said, number, named))
        if any(c.about.unsaid and c.about.end for c in candidates) and not ends.leads(number):
            named = []
        of_person = number > 0 and PERSON in tokens[number - 1].lists
        is_later = around.replaces(number) and not of_person
        goes_on = whose == "printed" or is_later or bool(side)
        of_side = any(c.about.side is not None and c.about.side in side for c in candidates)
        is_other_side = bool(side) and not of_side and any(c.about.side for c in last)
        is_other_end = (  # `rim runout limit is 2 mm. Rear's 3.5`
            not any(c.noun for c in candidates)
            and ends.in_clause(number)
            and any(c.about.end is not None and not c.about.beside_end for c in last)
        )
        in_step = _in_step(tokens, number, figures, before, whose, ends.in_clause(number))
        clause = tokens[number].clause
        if in_step and not any(tokens[n].clause == clause for c in candidates for n in c.noun):
            candidates = [c for c in in_step if _read(vocabulary, tokens[number], c.name)]
            named = [c.about.end for c in candidates if c.about.end is not None]
        is_next = not candidates and (goes_on or around.is_own(number))
        if around.is_own(number) and whose == "read" and last_whose == "printed":
            is_next |= all(c.noun and min(c.noun) > number for c in candidates)
        if is_other_side or is_other_end or is_next:
            at_ends = named if is_other_end else ()
            same = _same_as_last(vocabulary, tokens, number, last, side, at_ends)
            candidates = [*same] or candidates
        why = scope.aside[number]
        if around.is_wanted(number):
            why = "a figure wanted, not read"
        elif around.is_supposed(number):
            why = "supposed"
        side = side or _side_of_pair(tokens, candidates, number, pairs)
        best = _best(_on_side(candidates, side), named)
        best = _of_pair(best, number, pairs) if not ends.in_clause(number) else best
        last, last_whose = (best, whose) if best else (last, last_whose)
        before[number] = (whose, best)
        readings += _told(said, around, number, best, why, named)
    return _of_the_rider(tokens, around, list(dict.fromkeys(readings)))


def _told(
    said: _Said,
    around: FigureWords,
    number: int,
    best: Sequence[_Candidate],
    why: Why | None,
    named: Sequence[str],
) -> Iterator[FoundReading]:
    """What a figure says as a reading, as the manual's figure, or as both."""
    vocabulary, whose = said.vocabulary, around.whose(number)
    of_manual = {vocabulary.looked_up.get(c.name) for c in best}
    for candidate in best:
        reading = _read(vocabulary, said.tokens[number], candidate.name)
        assert reading is not None
        found_here = FoundReading(
            candidate.name,
            reading,
            tuple(sorted({number, *candidate.noun})),
            candidate.distance,
            why,
            around.replaces(number),
            end_open=len({c.about.end for c in best}) > 1 and not named,
            doubtful=_is_doubtful(said, number, candidate),
        )
        looked_up = vocabulary.looked_up.get(candidate.name)
        if whose != "printed" or looked_up is None:
            yield found_here
        if whose != "read" and looked_up is not None:
            yield replace(
                found_here,
                id=looked_up,
                why=None if why == "a figure wanted, not read" else why,
                replaces=False,
                end_open=found_here.end_open and len(of_manual) > 1,
            )


def _in_step(
    tokens: Sequence[Token],
    number: int,
    figures: Sequence[int],
    before: Mapping[int, tuple[str, list[_Candidate]]],
    whose: str,
    has_end: bool,
) -> list[_Candidate]:
    """What a figure of a plain list is, where as many were told apart before that are the manual's
    if it was read, or were read if not: `sag 108 rear and 61 front; the book says 105 and 63`."""
    run = _run(tokens, number, figures)
    first = figures.index(run[0])
    told_before = [n for n in figures[:first] if before.get(n, ("", []))[1]]
    earlier, more = told_before[-len(run) :], told_before[: -len(run)]
    if has_end or len(run) < _LIST or len(earlier) < len(run):
        return []
    if more and tokens[more[-1]].sentence == tokens[earlier[0]].sentence:
        return []  # which of them are meant is open
    if tokens[run[0]].sentence - tokens[earlier[-1]].sentence > 1:
        return []
    told = [before[n] for n in earlier]
    names = [{c.name for c in best} for _, best in told]
    told_apart = all(names) and len({frozenset(each) for each in names}) == len(names)
    if not told_apart or any(by == whose for by, _ in told):
        return []
    return told[run.index(number)][1]


def _run(tokens: Sequence[Token], number: int, figures: Sequence[int]) -> list[int]:
    """The figures of the list that one is in, with no words but `and` between."""
    runs: list[list[int]] = []
    for figure in figures:
        between = tokens[runs[-1][-1] + 1 : figure] if runs else []
        if runs and len(between) <= _LIST and all(t.word in {*_JOINS, ","} for t in between):
            runs[-1].append(figure)
        else:
            runs.append([figure])
    return next(run for run in runs if number in run)


def _of_the_rider(
    tokens: Sequence[Token], around: FigureWords, readings: Sequence[FoundReading]
) -> list[FoundReading]:
    """The readings, less another's where the rider gives his own: `he is 9 stone; I am 17`."""
    whose = [around.person(max(n for n in r.at if tokens[n].value is not None)) for r in readings]
    own = {r.id for r, who in zip(readings, whose, strict=True) if who == "own" and r.why is None}
    return [
        replace(r, why="of another bike") if who == "other" and r.id in own else r
        for r, who in zip(readings, whose, strict=True)
    ]


def _pairs(tokens: Sequence[Token], figures: Sequence[int]) -> dict[int, int]:
    """The first of two figures that belong together, by each of them: `13 and 12`, `13/12`."""
    joined = {
        (one, other)
        for one, other in pairwise(figures)
        if other == one + 1 or (other == one + 2 and tokens[one + 1].word in _JOINS)
    }
    seconds = {other for _, other in joined}
    firsts = {one for one, _ in joined}
    alone = {(one, other) for one, other in joined if one not in seconds and other not in firsts}
    return {n: one for one, other in alone for n in (one, other)}


def _of_pair(best: list[_Candidate], number: int, pairs: dict[int, int]) -> list[_Candidate]:
    """Of two figures for both ends, `tyres 13 and 12`, the first is the front's."""
    if number not in pairs or {c.about.end for c in best} != {"front", "rear"}:
        return best
    if not all(c.about.beside_end and c.noun for c in best):
        return best
    return [c for c in best if (c.about.end == "front") == (pairs[number] == number)]


def _side_of_pair(
    tokens: Sequence[Token],
    candidates: Sequence[_Candidate],
    number: int,
    pairs: Mapping[int, int],
) -> frozenset[str]:
    """Of two figures for both sides, `adjusters 35 and 32`, the first is of the left."""
    several = {
        c.about.side for c in candidates if any(tokens[n].word.endswith("s") for n in c.noun)
    }
    if number not in pairs or not {*SIDES.values()} <= several:
        return frozenset()
    return frozenset({"left" if pairs[number] == number else "right"})


def _is_on(about: About, side: frozenset[str]) -> bool:
    return about.side is None or about.side in side or (not side and about.side_unsaid)


def _on_side(candidates: Sequence[_Candidate], side: frozenset[str]) -> list[_Candidate]:
    """Those that may be on the sides said; what has no sides gives way to what has."""
    fitting = [c for c in candidates if _is_on(c.about, side)]
    sided = [c for c in fitting if c.about.side in side]
    nearest = min((c.distance for c in fitting), default=0.0)
    return sided if any(c.distance <= nearest + 0.01 for c in sided) else fitting


def _inherit_units(
    vocabulary: Vocabulary, tokens: list[Token], figures: Sequence[int], around: FigureWords
) -> None:
    """`0.9 bar front, 1.0 rear`, `from 75 kg to 88`, `12/13 psi`: one unit for both."""

    places = {*vocabulary.ends, BOTH, *SIDES, RIGHT_TOO}

    def give(source: Token, target: Token) -> None:
        target.units, target.lists = source.units, target.lists | source.lists
        target.unit_said = source.unit_said

    def ends_between(one: int, other: int) -> bool:
        return any(tokens[n].lists & places for n in range(one + 1, other + 1))

    def near(one: int, other: int) -> bool:
        is_printed = around.whose(other) == "printed"
        far = _FAR_PRINTED if is_printed else _FAR_NOW if is_now(other) else _FAR
        return other - one <= far and tokens[one].sentence == tokens[other].sentence

    def is_now(number: int) -> bool:
        before, after = tokens[number - 1].word, tokens[number + 1 : number + 2]
        return before in {"now", "to"} or "now" in {t.word for t in after}

    pairs = list(pairwise(figures))
    for one, other in pairs:
        if not tokens[one].units or tokens[other].units:
            continue
        if near(one, other) or around.corrects(other):
            if _names_other(vocabulary, tokens, one, other):
                continue
            linked = tokens[other - 1].word in _LINKS or is_now(other)
            linked = linked or around.whose(other) == "printed"
            linked = linked or around.corrects(other)
            if linked or ends_between(one, other + 1 if other + 1 < len(tokens) else other):
                give(tokens[one], tokens[other])
    for one, other in pairs:
        if _WEIGHTS & {*tokens[one].units} and not tokens[other].units:
            follows = tokens[other].sentence - tokens[one].sentence <= 1
            if follows and PERSON in tokens[other - 1].lists:  # "he is 9 stone; I am 17"
                give(tokens[one], tokens[other])
    for one, other in reversed(pairs):
        if tokens[other].units and not tokens[one].units and near(one, other):
            linked = any(
                tokens[n].word in _LINKS or tokens[n].word == "or" for n in range(one, other)
            )
            if linked or ends_between(one, other) or one + 1 == other:
                give(tokens[other], tokens[one])


def _names_other(vocabulary: Vocabulary, tokens: Sequence[Token], one: int, other: int) -> bool:
    """Whether the word before the second figure names what is in another unit than the first:
    `11 psi front, sag 110`."""
    words = [t for t in tokens[one + 1 : other] if t.is_word and t.word not in vocabulary.small]
    units = vocabulary.bare_units.get(words[-1].stem, ()) if words else ()
    return bool(units) and not any(u in units_like(v) for u in tokens[one].units for v in units)


def _taken_by(
    vocabulary: Vocabulary,
    tokens: Sequence[Token],
    figures: Sequence[int],
    nouns: Sequence[Sequence[tuple[int, ...]]],
    avoided: dict[str, set[int]],
) -> dict[int, int]:
    """Which figure each word that names a reading goes with, in a clause of several: the one before
    it where a figure comes first, `12 comp 14 rebound`, else the one after it."""
    naming = {n for each in nouns for at in each for n in at} | set().union(*avoided.values())
    naming = {n for n in naming if not tokens[n].lists & {*vocabulary.ends, BOTH}}
    taken: dict[int, int] = {}
    for clause in {tokens[n].clause for n in figures}:
        here = [n for n in figures if tokens[n].clause == clause]
        words = [n for n in naming if tokens[n].clause == clause]
        if len(here) < 2 or not words:
            continue
        figure_first = here[0] < min(words)
        for word in words:
            before = [n for n in here if n < word]
            after = [n for n in here if n > word]
            following = before[-1:] or after[:1] if figure_first else after[:1] or before[-1:]
            taken[word] = following[0]
    return taken


def _same_as_last(
    vocabulary: Vocabulary,
    tokens: Sequence[Token],
    number: int,
    last: Sequence[_Candidate],
    side: frozenset[str],
    at_ends: Collection[str],
) -> Iterator[_Candidate]:
    """What the last figure was a reading of, `sag was 98, now it is 121`, or the same on the other
    side of the bike, `rebound 10 on the left. Right one 3`, or at another of its ends: `comp 12
    front, 14 on the shock`."""
    known = vocabulary.rules.observations
    for one in last:
        if tokens[number].sentence - tokens[max(one.noun, default=number)].sentence > 1:
            continue
        name = one.name
        if not _is_on(one.about, side):
            others = [
                k
                for k, about in vocabulary.readings.items()
                if about.side in side
                and one.about.side is not None
                and known[k].unit == known[name].unit
                and (
                    known[k].target == known[name].target is not None
                    or k == name.replace(one.about.side, about.side or "")
                )
            ]
            if not others:
                continue
            name = others[0]
        elif at_ends and one.about.end is not None and one.about.end not in at_ends:
            name = next(iter(_like_it(vocabulary, name, at_ends)), name)
        if _read(vocabulary, tokens[number], name) is not None:
            yield replace(one, bare=True, name=name, about=vocabulary.readings[name])


def _like_it(vocabulary: Vocabulary, name: str, at_ends: Collection[str]) -> Iterator[str]:
    """The readings at these ends that a noun of this one, in the same unit, names too."""
    known, about = vocabulary.rules.observations, vocabulary.readings[name]
    for other, its in vocabulary.readings.items():
        is_there = its.end in at_ends and its.side in {None, about.side, "left"}
        is_like = known[other].unit == known[name].unit and {*its.nouns} & {*about.nouns}
        if is_there and is_like:
            yield other


@dataclass(frozen=True, slots=True)
class _Said:
    """What a text says of figures: the words that name and deny each reading, the figure that a
    word goes with, and where a figure may follow a word such as `around`."""

    vocabulary: Vocabulary
    tokens: Sequence[Token]
    nouns: dict[str, list[tuple[int, ...]]]
    avoided: dict[str, set[int]]
    taken_by: dict[int, int]
    near: set[int]
    pairs: dict[int, int]


def _is_doubtful(said: _Said, number: int, candidate: _Candidate) -> bool:
    """Whether a figure without unit and noun may be none: less than nought it is one of frost where
    nothing else is named."""
    if not candidate.bare or candidate.about.bare or candidate.noun:
        return False
    here = said.tokens[number]
    named = {said.tokens[n].sentence for each in said.nouns.values() for at in each for n in at}
    is_frost = (here.value or 0) < 0 and candidate.about.alone
    return not is_frost or here.sentence in named


def _said(
    vocabulary: Vocabulary,
    tokens: Sequence[Token],
    found: Sequence[Match],
    figures: Sequence[int],
    near: set[int],
) -> _Said:
    nouns: dict[str, list[tuple[int, ...]]] = {}
    avoided: dict[str, set[int]] = {}
    for match in found:
        if match.phrase.kind == "noun":
            nouns.setdefault(match.phrase.owner, []).append(match.at)
        elif match.phrase.kind == "no-noun":
            avoided.setdefault(match.phrase.owner, set()).update(match.at)
    taken_by = _taken_by(vocabulary, tokens, figures, [*nouns.values()], avoided)
    pairs = _pairs(tokens, figures)
    return _Said(vocabulary, tokens, nouns, avoided, taken_by, near, pairs)


def _candidates(said: _Said, number: int, named: Collection[str]) -> Iterator[_Candidate]:
    """The readings that the figure may be, each with how far its noun is away. Words for another
    end speak against one only where the figure is not at its own: `the shock is new, comp 12 on
    the fork`."""
    vocabulary, tokens = said.vocabulary, said.tokens
    token = tokens[number]
    goes_on = _starts_sentence(tokens, number)
    for name, about in vocabulary.readings.items():
        nouns = said.nouns.get(name, [])
        beside = about.beside_end and (
            _is_beside_end(said, number, about.end) or _follows(said, number, nouns)
        )
        is_frost = (token.value or 0) < 0 and about.alone
        if not token.units and (
            token.lists or not (about.bare or about.bare_in or beside or is_frost)
        ):
            continue  # laps, kilometres an hour; or a number that could be anything
        if _read(vocabulary, token, name) is None:
            continue
        near = range(number - _AROUND, number + _AROUND)
        avoided = [n for n in said.avoided.get(name, ()) if tokens[n].clause == token.clause]
        if about.end is not None and about.end in named:
            others = vocabulary.ends - {about.end.upper()}
            avoided = [n for n in avoided if not tokens[n].lists & others]
        if any(n in near and said.taken_by.get(n, number) == number for n in avoided):
            continue
        is_loose = not token.units and about.alone and bool(about.bare_in) and not beside
        best: tuple[float, tuple[int, ...]] | None = None
        for at in nouns:
            if is_loose and not any(PERSON in tokens[n].lists for n in at):
                continue
            if tokens[at[0]].sentence == token.sentence:
                distance = _distance(vocabulary, tokens, number, at)
                distance += _OF_ANOTHER * any(said.taken_by.get(n, number) != number for n in at)
                distance += _OF_ANOTHER * _has_its_own(tokens, number, at)
                reach = _REACH_OF_LONG if len(at) > 1 else _REACH
                if distance <= reach and (best is None or distance < best[0]):
                    best = (distance, at)
            elif best is None and goes_on and _is_left_open(tokens, number, at):
                best = (_REACH, at)
        if best is not None:
            yield _Candidate(best[0], not token.units, name, about, best[1])
        elif (
            about.alone
            and (token.units or beside or is_frost)
            and not _is_of_other(said, number, name)
        ):
            yield _Candidate(_ALONE, not token.units, name, about, ())


def _is_left_open(tokens: Sequence[Token], number: int, at: tuple[int, ...]) -> bool:
    """Whether the sentence before named it without a figure: `Checked the sag. 105.`"""
    follows = tokens[at[0]].sentence == tokens[number].sentence - 1
    return follows and all(t.value is None for t in tokens[at[0] : number])


def _has_its_own(tokens: Sequence[Token], number: int, at: tuple[int, ...]) -> bool:
    """Whether what is named in a later clause is followed by a figure there: `main chamber is at
    11 bar, balance 6.5`."""
    clause = tokens[at[0]].clause
    after = tokens[max(at) + 1 : max(at) + 3]
    return clause > tokens[number].clause and any(
        t.value is not None and t.clause == clause for t in after
    )


def _is_of_other(said: _Said, number: int, name: str) -> bool:
    """Whether the sentence tells of what else a figure without a noun may be: `camping kit on the
    rack, call it 25 kg`."""
    sentence = said.tokens[number].sentence
    clause = [t for t in said.tokens if t.clause == said.tokens[number].clause]
    if not _is_aside(said.tokens, number) or any(t.word in _PERSONS for t in clause):
        return False
    before = sentence - _starts_sentence(said.tokens, number)
    others = (n for n in said.avoided.get(name, ()) if n < number)
    return any(
        before <= said.tokens[n].sentence <= sentence and said.taken_by.get(n, number) == number
        for n in others
    )


def _starts_sentence(tokens: Sequence[Token], number: int) -> bool:
    """Whether a sentence begins with the figure: it goes on with the one before."""
    sentence = tokens[number].sentence
    before = (t for t in tokens[:number] if t.sentence == sentence)
    return not any(t.is_word or t.value is not None for t in before)


def _follows(said: _Said, number: int, nouns: Sequence[tuple[int, ...]]) -> bool:
    """Whether the figure follows a word that names the reading: `tyres at 13`."""
    at = said.pairs.get(number, number) - 1
    while at >= 0 and (said.tokens[at].word in said.vocabulary.small or at + 1 in said.near):
        at -= 1
    return any(at in noun for noun in nouns)


def _is_beside_end(said: _Said, number: int, end: str | None) -> bool:
    """Whether the end is named right beside the figure: `14 in the rear`, `front 13`."""
    tokens, small = said.tokens, said.vocabulary.small
    names = {BOTH, (end or "").upper()}
    for step in (1, -1):
        at = number + step
        while 0 <= at < len(tokens) and (tokens[at].word in small or at + 1 in said.near):
            if tokens[at].lists & names:
                return True
            at += step
        if 0 <= at < len(tokens) and tokens[at].lists & names:
            return True
    return False


def _distance(
    vocabulary: Vocabulary, tokens: Sequence[Token], number: int, at: tuple[int, ...]
) -> float:
    away = min(abs(tokens[n].clause - tokens[number].clause) for n in at)
    if away and _is_heading(vocabulary, tokens, number, at):
        return _HEADED
    if away == 1 and max(at) < number and _is_aside(tokens, number):
        away = 0
    words = min(abs(number - n) for n in at) + _AFTER * (max(at) > number)
    return words + _CLAUSE_AWAY * away - _PER_WORD * (len(at) - 1)


def _is_heading(
    vocabulary: Vocabulary, tokens: Sequence[Token], number: int, at: tuple[int, ...]
) -> bool:
    """Whether its sentence begins with the noun and no more: `sag, rider up, 108 rear`."""
    clause = [n for n, t in enumerate(tokens) if t.clause == tokens[at[0]].clause]
    starts = clause[0] == 0 or tokens[clause[0]].sentence != tokens[clause[0] - 1].sentence
    small = vocabulary.small
    return (
        starts
        and tokens[number].clause > tokens[at[0]].clause
        and all(tokens[n].value is None for n in clause)
        and all(n in at or tokens[n].word in small or not tokens[n].is_word for n in clause)
    )


def _is_aside(tokens: Sequence[Token], number: int) -> bool:
    """Whether there is little but the figure in its clause: `two fingers, about 55 mm`."""
    clause = [t for t in tokens if t.clause == tokens[number].clause]
    return sum(t.is_word or t.value is not None for t in clause) <= _FEW


def _best(candidates: Sequence[_Candidate], named: Sequence[str]) -> list[_Candidate]:
    """The nearest; of those at the ends of the bike, those whose end was said, or the one that is
    meant where none is. Several at different ends are left where that is open."""
    fitting = [c for c in candidates if c.about.end is None or not named or c.about.end in named]
    if not fitting:
        return []
    nearest = min(fitting, key=lambda c: (c.distance, c.bare))
    level = [c for c in fitting if c.distance <= nearest.distance + 0.01]
    if nearest.about.end is None:  # "both legs 8 mm up" names two by the same words
        return [c for c in level if c.noun == nearest.noun and c.noun] or [nearest]
    by_end: dict[str | None, _Candidate] = {}
    for candidate in level:
        if candidate.about.end is not None:
            by_end.setdefault(candidate.about.end, candidate)
    unsaid = [c for c in by_end.values() if c.about.unsaid]
    return unsaid if unsaid and not named else list(by_end.values())


def _read(vocabulary: Vocabulary, token: Token, name: str) -> Quantity | None:
    """The figure as a reading of this observation; None where it cannot be one."""
    unit, low, high = vocabulary.ranges[name]
    assert token.value is not None
    if not token.units:
        ranges = vocabulary.bare_ranges[name]
        fitting = [u for u, least, most in ranges if least <= token.value <= most]
        fitting = fitting[:1]
    else:
        fitting = [u for u in token.units if u in units_like(unit)]
        if token.unit_said == "out" and not fitting and vocabulary.readings[name].bare:
            fitting = [unit]  # forks at 14 out, a disc 0.3 out
    quantities = (Quantity(token.value, each) for each in fitting)
    return next((q for q in quantities if low <= q.to(unit).value <= high), None)
