"""What the words around a figure say of it: a change, a wish, the manual's, or what was read."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Literal

from diagnose.listening.phrases import NOT
from diagnose.listening.tokens import Token, sought
from diagnose.listening.vocabulary import Vocabulary
from rules.language.rider_words import Role

_AROUND = 4
_PRINTED_AHEAD, _CLAUSES_AHEAD = 7, 3
"""Words and clauses from what names the manual to the figure that is its own."""
_BY = frozenset({"by", "as", "per", "in", "from"})
_AS_PER = frozenset({"as", "per", "that", "which"})
_PERSONS = frozenset({"i", "he", "she", "we"})
_ONES_OWN = frozenset({"i", "im"})
_WAS, _WAS_BEFORE = frozenset({"was", "used"}), frozenset({"it", "before", "to", "be", "on", "at"})
_WOULD = frozenset({"would", "could", "should", "might"})
_ASKING = frozenset({"is", "are", "should", "would", "could", "can", "will", "do", "does"})
_SHORT = frozenset({"low", "high", "short", "down", "gone"})
_FEW_BETWEEN, _NEXT = 4, 2
_HEIGHT = "HEIGHT"
_CLICKS, _TURNS = frozenset({"click", "clicks"}), frozenset({"turn", "turns"})
_MOVED_BY = frozenset({"on", "off", "up", "another", "extra"})
_MOVED_BEFORE = 6
_MOVED_TO = frozenset({"to", "at", "is", "now"})
_PRESSURES = frozenset({"psi", "bar", "kPa"})
_STEP_ENDS = frozenset({"on", "and", "it", "made", "better", "worse", ",", "."})
_FEW_CLICKS, _FEW_TURNS, _FEW_WORDS = 4, 1, 3
_LETTING = frozenset({"took", "take", "taken", "let", "bled", "knocked", "added"})
_LET_OUT, _LET_OUT_BEFORE = frozenset({"out", "off", "more"}), 4
_YEARS = range(1980, 2041)


class FigureWords:
    """The words of a text that say what its `figures`, by their places, are."""

    def __init__(
        self, vocabulary: Vocabulary, tokens: Sequence[Token], figures: Sequence[int]
    ) -> None:
        self._tokens, self._figures, self._numbers = tokens, figures, vocabulary.numbers
        self._words = [token.word for token in tokens]
        self._vocabulary = vocabulary
        gauges = {first for first, _ in self._said("figure-gauge")}
        self._wanted = {n for n, _ in self._said("figure-wanted")}
        self._wanted -= {n + step for n in gauges for step in (1, 2)}
        self._changed = {first for first, _ in self._said("figure-changed")}
        self._tried = {first for first, _ in self._said("figure-tried")}
        self._moved = {after - 1 for _, after in self._said("figure-moved")}
        self._own = {after for _, after in self._said("figure-own")}
        self._corrected = {after for _, after in self._said("figure-corrected")}
        self.about = {after for _, after in self._said("figure-about")}
        self._others = {word for said in vocabulary.lists("figure-other") for word in said}
        self._books = {q[0] for q in vocabulary.lists("figure-printed") if len(q) == 1}
        self._printed = [
            (first, after)
            for first, after in sorted(self._said("figure-printed"))
            if not any(t.stem == NOT for t in tokens[:after] if t.clause == tokens[first].clause)
        ]

    def _said(self, role: Role) -> list[tuple[int, int]]:
        """Where the words of these lists begin, and where they end."""
        return [(s, e) for _, s, e in sought(self._words, self._vocabulary.begun(role))]

    def is_none(self, number: int) -> bool:
        """Whether the figure is no reading: a year, or by how much a setting was changed."""
        token = self._tokens[number]
        if not token.units and token.value in _YEARS:
            return True
        return (
            self._is_past(number)
            or self._is_compared(number)
            or self._is_moved_by(number)
            or self._is_step(number)
            or self._is_let_out(number)
        )

    def _is_past(self, number: int) -> bool:
        """Whether it is denied, `not ten, eleven`, or what a figure named before it was: `it is on
        12, was 9`."""
        tokens = self._tokens
        if number and self._words[number - 1] == "not":
            return True
        clause = [n for n in range(number) if tokens[n].clause == tokens[number].clause]
        words = {tokens[n].word for n in clause if tokens[n].is_word}
        is_named = any(
            0 <= tokens[number].sentence - tokens[n].sentence <= 1
            for n in self._figures
            if clause and n < clause[0]
        )
        return is_named and bool(words & _WAS) and words <= _WAS | _WAS_BEFORE

    def _is_compared(self, number: int) -> bool:
        """`2 clicks stiffer`, `5 mm too high`; a height is read so: `1000 m higher`."""
        tokens = self._tokens
        after = range(number + 1, min(number + 3, len(tokens)))
        if _HEIGHT in tokens[number].lists:
            return False
        next_word = self._words[number + 1 : number + 2]
        if _PRESSURES & {*tokens[number].units} and not _SHORT.isdisjoint(next_word):
            return True
        if {"clicks", "turns"} & {*tokens[number].units} and number - 1 in self._changed:
            return True  # "faster two clicks"
        return next_word == ["x"] or any(  # "2x plugs"
            n in self._changed and tokens[n].sentence == tokens[number].sentence for n in after
        )

    def _is_moved_by(self, number: int) -> bool:
        """Whether a setting was moved by the figure, not to it: `backed the rebound off 4 clicks`,
        `went 10 clicks out`."""
        tokens = self._tokens
        last = tokens[number - 1].word
        steps = _CLICKS if last not in _MOVED_BY else _CLICKS | _TURNS
        if steps.isdisjoint(tokens[number].unit_said.split()) or last in _MOVED_TO:
            return False
        before = range(max(0, number - _MOVED_BEFORE), number)
        return any(n in self._moved and tokens[n].clause == tokens[number].clause for n in before)

    def _is_let_out(self, number: int) -> bool:
        """Whether it is by how much a pressure was changed: `took 4 psi out of the front`."""
        tokens = self._tokens
        if not _PRESSURES & {*tokens[number].units}:
            return False
        before = [
            t.word
            for t in tokens[max(0, number - _LET_OUT_BEFORE) : number]
            if t.clause == tokens[number].clause
        ]
        if _LETTING.isdisjoint(before) or not _MOVED_TO.isdisjoint(before[-1:]):
            return False
        return not _LET_OUT.isdisjoint({*before, *self._words[number + 1 : number + 2]})

    def _is_step(self, number: int) -> bool:
        """Whether a setting was moved by the figure: `2 clicks in`, `opened it by 2`, `+2`, or `2
        out and it was worse`, which a setting of so few clicks is not."""
        tokens = self._tokens
        token, before = tokens[number], tokens[number - 1].word if number else ""
        if token.value == 0 or (token.units and not {"clicks", "turns"} & {*token.units}):
            return False
        if before in {"+", "by"} or self._is_in_and_out(number):
            return True
        after = [t for t in tokens[number + 1 : number + 3] if t.sentence == token.sentence]
        if token.units and [t.word for t in after[:1]] == ["in"]:
            return len(after) < 2 or after[1].word in _STEP_ENDS or after[1].value is not None
        few = _FEW_CLICKS if "clicks" in token.units else _FEW_TURNS
        return (
            "out" in token.unit_said.split()
            and (token.value or 0) <= few
            and before not in _MOVED_TO
            and any(n > number and tokens[n].sentence == token.sentence for n in self._tried)
        )

    def _is_in_and_out(self, number: int) -> bool:
        """Whether a click was tried both ways: `4 in 4 out`, `in four, out four`."""
        token = self._tokens[number]
        same = [
            n
            for n in self._figures
            if self._tokens[n].value == token.value
            and self._tokens[n].sentence == token.sentence
            and abs(n - number) <= _FEW_BETWEEN
        ]
        first, last = same[0], same[-1]
        said = {*self._words[max(0, first - 1) : last + 2]}
        said |= {word for n in same for word in self._tokens[n].unit_said.split()}
        return len(same) > 1 and {"in", "out"} <= said

    def is_wanted(self, number: int) -> bool:
        """Whether the figure is one that somebody wishes for: `aiming for 105`."""
        tokens = self._tokens
        for n in range(number - 1, max(-1, number - 1 - _AROUND), -1):
            if tokens[n].value is not None or tokens[n].sentence != tokens[number].sentence:
                return False
            if n in self._wanted:
                return True
        return False

    def is_supposed(self, number: int) -> bool:
        """Whether somebody only wonders about the figure: `if I ran 11 would it grip`."""
        here = self._tokens[number]
        before = [t.word for t in self._tokens[:number] if t.sentence == here.sentence]
        clause = [t.word for t in self._tokens[:number] if t.clause == here.clause]
        if self._is_asked(here.sentence):
            return True
        wonders = not _WOULD.isdisjoint(t.word for t in self._tokens if t.sentence == here.sentence)
        return "if" in clause or ("if" in before and wonders)

    def _is_asked(self, sentence: int) -> bool:
        """Whether the sentence asks whether something is right: `is 100 mm of sag too much?`"""
        said = [n for n, t in enumerate(self._tokens) if t.sentence == sentence and t.is_word]
        if not said or self._words[said[0]] not in _ASKING:
            return False
        end = next((t.word for t in self._tokens[said[-1] :] if t.sentence > sentence), "")
        return end == "?"

    def corrects(self, number: int) -> bool:
        """Whether it stands in for a figure before it: `105, no wait, 108`, `sorry, not ten,
        eleven`, `put 15 in, well 14`."""
        tokens, at = self._tokens, number
        earlier = [n for n in self._figures if n < number]
        if not earlier or tokens[number].sentence - tokens[earlier[-1]].sentence > 1:
            return False
        if self._words[number + 1 : number + 2] in (["actually"], ["rather"]):
            return True
        if number - earlier[-1] <= _NEXT and self._words[earlier[-1] - 1] == "not":
            return len(earlier) > 1
        first = max(0, number - _FEW_BETWEEN)
        while at > first and at not in self._corrected:
            word = tokens[at - 1]
            is_light = not word.is_word or word.word in self._vocabulary.small
            if not is_light and word.stem != NOT and at not in self.about:
                break
            at -= 1
        return at in self._corrected and any(n < at for n in earlier)

    def replaces(self, number: int) -> bool:
        """Whether it is what the figure is now, after what it was: `from 12 to 8`, `now 128`."""
        before = self._words[max(0, number - 3) : number]
        if self.is_now(number) or self.corrects(number):
            return True
        return "now" in before or before[-1:] == ["to"] or "currently" in before

    def is_now(self, number: int) -> bool:
        """Whether `now` follows the figure: `52 kg last year, 61 now`."""
        after = self._tokens[number + 1 : number + 2]
        return bool(after) and after[0].word == "now"

    def person(self, number: int) -> Literal["own", "other"] | None:
        """Of whom the words before a figure in its clause speak, the nearest; of those in the
        clause before where there is little but the figure."""
        here = self._tokens[number]
        is_aside = sum(t.is_word for t in self._tokens if t.clause == here.clause) < _FEW_WORDS
        for n in range(number - 1, -1, -1):
            token = self._tokens[n]
            if token.clause < here.clause - is_aside or token.sentence != here.sentence:
                break
            if token.word in _ONES_OWN or self._words[n : n + 2] == ["me", "at"]:
                return "own"
            if token.word in self._others:
                return "other"
        return None

    def is_own(self, number: int) -> bool:
        """Whether the figure follows words such as `mine is`."""
        sentence = self._tokens[number].sentence
        return any(
            n in self._own and self._tokens[n - 1].sentence == sentence
            for n in range(max(1, number - 2), number + 1)
        )

    def whose(self, number: int) -> Literal["read", "printed", "both"]:
        """Whether a figure was read, is the manual's (`the book says 13 psi`, `20 Nm by the book`),
        or both (`13 psi, that is what the manual says`, `I run 13 by the book`)."""
        here = self._tokens[number]
        printed = [p for p in self._printed if self._tokens[p[0]].sentence == here.sentence]
        if self._is_announced(number, printed):
            return "printed"
        behind = [p for p in printed if p[0] > number and self._names_book(*p)]
        if not behind or any(number < n < behind[0][0] for n in self._own):
            return "read"
        first, after = behind[0]
        by = self._tokens[first]
        ahead = [
            t
            for t in self._tokens[after : after + _AROUND]
            if t.sentence == here.sentence and (t.clause == by.clause or by.clause != here.clause)
        ]
        if any(t.value is not None or t.word in self._numbers for t in ahead):
            return "read"  # `sag is 120, the manual says 105`
        nearer = [n for n in self._figures if number < n < first]
        if by.clause != here.clause:
            if any(self._tokens[n].clause == by.clause for n in nearer):
                return "read"  # `85, 110 in the book`
            leading = {t.word for t in self._tokens[:first] if t.clause == by.clause}
            return "printed" if "says" in leading else "both"
        of_rider = any(n <= number and self._tokens[n - 1].clause == here.clause for n in self._own)
        of_rider |= any(t.word in _PERSONS for t in self._tokens if t.clause == here.clause)
        return "both" if of_rider or by.word in _AS_PER else "printed"

    def _is_announced(self, number: int, printed: Sequence[tuple[int, int]]) -> bool:
        """Whether the manual was named shortly before the figure, with none but its own between."""
        clause = self._tokens[number].clause
        before = [
            after
            for first, after in printed
            if first < number and clause - self._tokens[first].clause <= self._carries(first, after)
        ]
        if not before or any(before[-1] <= n <= number for n in self._own):
            return False
        steps = [before[-1], *(n for n in self._figures if before[-1] <= n < number), number]
        return max(other - one for one, other in pairwise(steps)) <= _PRINTED_AHEAD

    def _carries(self, first: int, after: int) -> int:
        """How many clauses further a figure may still be the manual's."""
        is_named = self._names_book(first, after) and self._tokens[first].word not in _BY
        return _CLAUSES_AHEAD * is_named

    def _names_book(self, first: int, after: int) -> bool:
        return not self._books.isdisjoint(self._words[first:after])
