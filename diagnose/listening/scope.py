"""What a sentence says of its words: that they are denied, past, another bike's, only supposed.

Denial follows NegEx (W. Chapman and others, A Simple Algorithm for Identifying Negated Findings,
Journal of Biomedical Informatics, 2001, as quoted on its authors' page): a trigger denies up to
five words after it, unless it only looks like one. The rest follows ConText (H. Harkema and others,
the same journal, 2009, from its abstract): a trigger reaches to the end of its sentence or to a
word that ends it.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence

from diagnose.listening.heard import Why
from diagnose.listening.phrases import NOT
from diagnose.listening.tokens import Token, sought
from diagnose.listening.vocabulary import Vocabulary
from rules.language.rider_words import Role

_REACH = 5
_REACH_AFTER = 2
_AT_START: dict[Role, Role] = {
    "supposed": "supposed-at-start",
    "of-others": "of-others-at-start",
}
_KEEPING = frozenset({"keep", "keeps"})
_IT = frozenset({"it", "she"})
_DOERS = frozenset({"by", "from", "off", "to", "with"})
_UNTIL = frozenset({"until", "till", "til"})
_ANY_MORE = ({"any", "more"}, {"anymore"}, {"no", "longer"})
_WITHIN_CLAUSE = frozenset({"nearly", "almost", "scared", "afraid", "worried", "thinking"})
"""What supposes no more than the rest of its clause: `nearly took my arm off, wobbling`."""
_IS = frozenset({"is", "was", "are", "were"})
_OVER_A_TIME = frozenset({"over", "since", "for", "during", "from"})
_TIMES: tuple[tuple[Role, Role | None, Why], ...] = (
    ("past", "past-ends", "past"),
    ("of-others", "of-others-ends", "of another bike"),
    ("supposed", "supposed-ends", "supposed"),
)


class Scope:
    """The triggers of one text, and what they say of each token."""

    def __init__(self, vocabulary: Vocabulary, tokens: Sequence[Token]) -> None:
        self._vocabulary = vocabulary
        self._tokens = tokens
        self._words = [token.word for token in tokens]
        self._pseudo = self._covered("not-denying")
        self._denials = self._covered("denies")
        self._long_denials = [each for each in self._found("denies") if each[1] - each[0] > 1]
        self._after = self._found("denies-after")
        self._stops = self._covered("denial-ends")
        self._lapsed: set[int] = set()
        self.aside = self._aside()

    def of(self, at: Sequence[int], core: Sequence[int], spent: Collection[int] = ()) -> Why | None:
        """Why the phrase found at these tokens does not count; None where it does. `core` are its
        words other than those of an end; `spent` are denials that are part of a phrase."""
        if self._is_denied(at, core, spent):
            return "denied"
        why = next((self.aside[n] for n in at if self.aside[n] is not None), None)
        has_lapsed = why == "past" and self._lapsed.issuperset(at)
        if has_lapsed and any(self._tokens[n].stem == NOT for n in at):
            return None  # "does not turn any more"
        return why

    def is_end_denied(self, number: int) -> bool:
        """Whether the end named here is said not to be meant: `not the front`, `more the back than
        the front`."""
        tokens, before = self._tokens, number - 1
        clause = tokens[number].clause
        while before >= 0 and tokens[before].clause == clause:
            if tokens[before].word in _KEEPING:
                return False  # "can not keep the front off the stops"
            if tokens[before].word not in self._vocabulary.small:
                return tokens[before].stem == NOT or tokens[before].word == "than"
            before -= 1
        return False

    def _is_denied(self, at: Sequence[int], core: Sequence[int], spent: Collection[int]) -> bool:
        tokens = self._tokens
        clause, passed = tokens[at[0]].clause, 0
        mine = {*at, *spent}
        spent = mine.union(
            *(range(*each) for each in self._long_denials if not mine.isdisjoint(range(*each)))
        )  # "no longer returns" is one denial
        for number in range(min(core or at) - 1, -1, -1):
            token = tokens[number]
            if token.clause != clause or passed > _REACH:
                break
            if number in self._stops or token.value is not None or token.word == ":":
                break
            is_trigger = token.stem == NOT or number in self._denials
            if is_trigger and number not in self._pseudo and number not in {*at, *spent}:
                return not self._only_until(at)
            passed += token.word not in self._vocabulary.glue
        inside = set(range(min(core or at), max(at))) - {*at, *spent} - self._pseudo
        if any(tokens[n].stem == NOT or n in self._denials for n in inside):
            return True  # "clickers not touched"
        return any(
            tokens[start].clause == clause and min(at) < start <= max(at) + _REACH_AFTER
            for start, end in self._after
            if set(range(start, end)).isdisjoint(at)
            and self._words[end : end + 1] != ["until"]
            and not self._leads_to(end, at)
        )

    def _leads_to(self, end: int, at: Collection[int]) -> bool:
        """Whether what looks like a denial only leads to a word of the phrase: `has gone heavy`."""
        while end < len(self._words) and self._words[end] in self._vocabulary.glue:
            end += 1
        return end in at

    def _only_until(self, at: Sequence[int]) -> bool:
        """Whether what is denied was so only until something: `never had it till I fitted ...`."""
        clause, sentence = self._tokens[max(at)].clause, self._tokens[max(at)].sentence
        following = (t for t in self._tokens[max(at) + 1 :] if t.sentence == sentence)
        return any(t.word in _UNTIL and t.clause <= clause + 1 for t in following)

    def _aside(self) -> list[Why | None]:
        said: list[Why | None] = [None] * len(self._tokens)
        for role, end_role, why in _TIMES:
            ends = {start for start, _ in self._found(end_role)} if end_role else set()
            for first, after in self._starts(role):
                # what is said of a person in the person's own words is of the rider's bike:
                # "my mate agrees"
                start = min(after, len(said) - 1) if why == "of another bike" else first
                is_asked = why == "supposed" and self._words[start] != "if"
                if is_asked and self._says_what(first):
                    continue
                in_clause = self._words[start] in _WITHIN_CLAUSE
                for number in range(start, len(said)):
                    if self._tokens[number].sentence != self._tokens[start].sentence:
                        break
                    if in_clause and self._tokens[number].clause != self._tokens[start].clause:
                        break
                    if number in ends and number > first:
                        break
                    if is_asked and self._starts_anew(number):
                        break  # "should I go stiffer, it bottoms everywhere"
                    said[number] = said[number] or why
        for start, end in self._found("past-clause"):
            clause = self._tokens[start].clause
            if self._words[start] == "last" and self._lasts_until_now(start):
                continue  # "it got harsh over the last year"
            only_lapsed = set(self._words[start:end]) in _ANY_MORE
            for number, token in enumerate(self._tokens):
                if token.clause == clause:
                    if only_lapsed and said[number] is None:
                        self._lapsed.add(number)
                    said[number] = said[number] or "past"
        for start, end in self._found("past-sentence"):
            sentence = self._tokens[start].sentence
            if self._tokens[end - 1].stem == NOT and self._goes_on(end):
                continue  # "now it does not", but not "now it does not turn"
            for number in range(end):
                if self._tokens[number].sentence == sentence:
                    said[number] = said[number] or "past"
        return said

    def _says_what(self, first: int) -> bool:
        """Whether what looks like a question tells: `what is left is a knock`, `what I can not
        stand is the bang`, or is about a number: `nearly 2900 metres`."""
        tokens, sentence = self._tokens, self._tokens[first].sentence
        after = [t for t in tokens[first + 1 :] if t.sentence == sentence]
        if self._words[first] in _WITHIN_CLAUSE:
            return bool(after) and after[0].value is not None
        if not self._words[first].startswith("what"):
            return False
        mark = next((t.word for t in tokens[first:] if t.sentence > sentence), "")
        return mark != "?" and any(t.word in _IS or t.word == ":" for t in after[1:])

    def _lasts_until_now(self, at: int) -> bool:
        before = [w for w in self._words[max(0, at - 2) : at] if w != "the"]
        return bool(before) and before[-1] in _OVER_A_TIME

    def _starts_anew(self, at: int) -> bool:
        """Whether a clause about the bike begins after a comma."""
        return at > 0 and self._words[at - 1] == "," and self._words[at] in _IT

    def _goes_on(self, at: int) -> bool:
        return at < len(self._tokens) and self._tokens[at].clause == self._tokens[at - 1].clause

    def _starts(self, role: Role) -> list[tuple[int, int]]:
        found = self._found(role)
        if role == "of-others":  # "done by a mate" is done to the rider's bike
            found = [(s, e) for s, e in found if not s or self._words[s - 1] not in _DOERS]
            found += self._beside_ones_own()
        at_start = _AT_START.get(role)
        if at_start is None:
            return found
        first = [
            (start, end)
            for start, end in self._found(at_start)
            if not start or self._tokens[start - 1].sentence != self._tokens[start].sentence
        ]
        return [(s, e) for s, e in (*found, *first) if self._pseudo.isdisjoint({s - 1, s})]

    def _beside_ones_own(self) -> list[tuple[int, int]]:
        """Bikes of others where one's own is told of too; else such a bike is the one meant."""
        own = {self._tokens[start].sentence for start, _ in self._found("ones-own")}
        found = self._found("of-others-beside")
        return [(start, end) for start, end in found if self._tokens[start].sentence in own]

    def _found(self, role: Role) -> list[tuple[int, int]]:
        return [(s, e) for _, s, e in sought(self._words, self._vocabulary.begun(role))]

    def _covered(self, role: Role) -> set[int]:
        return {n for start, end in self._found(role) for n in range(start, end)}
