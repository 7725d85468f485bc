"""A rider's text as words and figures, each with where it stands."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from diagnose.listening.digits import INCH_PARTS, PARTS_OF, VULGAR, in_digits
from diagnose.listening.phrases import NOT
from diagnose.listening.vocabulary import (
    OTHER_PART,
    RIGHT_TOO,
    SIDES,
    Begun,
    UnitWords,
    Vocabulary,
    by_first_word,
)

_TOKEN = re.compile(
    r"km/h|n[·.]m|ft[·.]lbs?|°\s?[cf]\b"
    r"|(?:\d+[ -])?\d{1,2}/\d{1,2}(?![\d/])"
    r"|\d{1,3}(?:,\d{3})+(?!\d)|\d+(?:[.,]\d+)?|(?<!\d)\.\d+|[½¼¾]"
    r"|\b(?:[lr]/h|[no]/s)\b|[a-z]+(?:['-][a-z]+)*|[-+%.!?;:,&\n\"()/]"
)
_SIDES = re.compile("[lr]/h|[no]/s")
_SENTENCE_ENDS = frozenset(".!?;\n()")
_CLAUSE_ENDS = frozenset(",")
_ENDINGS = (("n't", "nt"), ("'s", "s"), ("'m", "m"), ("'ve", "ve"), ("'re", ""), ("'ll", ""))
_TELL_WHEN = frozenset({"when", "whenever", "while"})
_LETTERS = re.compile(r"[a-z]-")
_COMPARES = by_first_word([("like", "a"), ("like", "an")])
_COMPARED = 2
"""Words after `like a` that are no part of anything."""
FIGURE = "#"
_NOUGHT = frozenset({"oh", "o", "nought"})
_POUNDS_IN_A_STONE = 14
_INCH = "inch"
_DEGREES = frozenset({"°C", "°F"})
_AFTER_BELOW = frozenset(
    {"zero", "freezing", "when", "this", "outside", "today", "at", ",", ".", "\n"}
)
_PARTS_SAID = frozenset({0.25, 0.333, 0.5, 0.75})
_OPEN_BY, _OPEN_PART = 1.0, 0.25
"""How far apart two figures may be that leave open which of them it is."""
_NAMED_BEFORE, _BOOK_BEFORE, _ANOTHER_BEFORE = 3, 4, 9
"""How many words before a small number may name what it is, who printed it, or another figure."""


@dataclass(slots=True)
class Token:
    """A word or figure from `start` to `end` of the text. `keys` are what phrases compare: its
    stem, `=word`, and the lists it belongs to. A figure has a `value` and the `units` it may be
    in. `reach` counts as `clause` does, but a clause that tells when goes with the one before."""

    word: str
    start: int
    end: int
    stem: str = ""
    lists: set[str] = field(default_factory=set)
    clause: int = 0
    reach: int = 0
    sentence: int = 0
    value: float | None = None
    units: tuple[str, ...] = ()
    unit_said: str = ""

    @property
    def keys(self) -> set[str]:
        """What an element of a phrase may ask for."""
        return {self.stem, f"={self.word}", *self.lists} - {""}

    @property
    def is_word(self) -> bool:
        """Whether it is a word, rather than a figure or a mark."""
        return self.value is None and self.word[:1].isalpha()


def tokens_of(vocabulary: Vocabulary, text: str) -> list[Token]:
    """The words and figures of `text`, in order, with clauses and sentences counted."""
    tokens = _with_ranges(_with_figures(vocabulary, _words(vocabulary, *_plain(text))))
    words = [token.word for token in tokens]
    _count_clauses(vocabulary, tokens, words)
    for token in tokens:
        if token.is_word:
            token.stem = vocabulary.key(token.word)
            token.lists |= vocabulary.classes.get(token.stem, frozenset())
    kinds = [token.word if token.value is None else FIGURE + token.unit_said for token in tokens]
    for number, first, after in sought(kinds, vocabulary.long_begun):
        name = vocabulary.long_classes[number][1]
        for token in (t for t in tokens[first:after] if t.value is None):
            token.lists.add(name)
            if name in vocabulary.ends and after > first + 1:
                token.lists -= vocabulary.ends - {name}
    for _, first, _ in sought(words, _COMPARES):
        for token in tokens[first + 2 : first + 2 + _COMPARED]:
            if token.clause == tokens[first].clause:
                token.lists.discard(OTHER_PART)  # squats like a dog, knocks like a loose gate
    return tokens


def sought(words: Sequence[str], begun: Begun) -> list[tuple[int, int, int]]:
    """Every sequence that stands in `words`: its place among all, where it begins and ends; by
    place, then by where it begins."""
    found: list[tuple[int, int, int]] = []
    for start, word in enumerate(words):
        for number, sequence in begun.get(word, ()):
            end = start + len(sequence)
            if len(sequence) == 1 or tuple(words[start:end]) == sequence:
                found.append((number, start, end))
    return sorted(found)


def _plain(text: str) -> tuple[str, list[int]]:
    """The text in small letters without marks that print nothing, and where each letter stood."""
    letters: list[str] = []
    places: list[int] = []
    for place, letter in enumerate(text):
        kind = unicodedata.category(letter)
        if kind == "Cf" or (kind == "Cc" and letter not in "\n\t\r"):
            continue
        low = letter.lower()
        letters.append({"’": "'", "‘": "'", "−": "-", "–": "-"}.get(letter, low))
        if len(letters[-1]) != 1:
            letters[-1] = letter
        places.append(place)
    return "".join(letters), places


def _words(vocabulary: Vocabulary, low: str, places: list[int]) -> list[Token]:
    found: list[Token] = []
    for match in _TOKEN.finditer(low):
        start, end = places[match.start()], places[match.end() - 1] + 1
        word = match.group().strip()
        if _SIDES.fullmatch(word):
            word = word.replace("/", "")
        if not word[:1].isalpha() or "/" in word or "." in word or "·" in word:
            found.append(Token(word or "\n", start, end))
            continue
        found += (Token(part, start, end) for part in _parts(vocabulary, word))
    return found


def _parts(vocabulary: Vocabulary, word: str) -> list[str]:
    """The words that one written word stands for: `don't` is do not, `front-end` front end."""
    plain = word
    for ending, short in _ENDINGS:
        plain = plain.replace(ending, short)
    plain = plain.replace("'d", "").replace("'", "")
    pieces = (plain.replace("-", "") if _LETTERS.match(plain) else plain).split("-")
    parts = [part for piece in pieces for part in vocabulary.forms.get(piece, piece).split()]
    if word.endswith("'s") and len(parts) == 1 and parts[0].endswith("s"):
        owned = parts[0][:-1]
        is_ours = len(owned) > 3 or vocabulary.key(owned) in vocabulary.bare_nouns
        if is_ours and owned not in vocabulary.people:
            parts = [owned, "is"]
    return [vocabulary.repaired(part) for part in parts]


def _with_figures(vocabulary: Vocabulary, tokens: list[Token]) -> list[Token]:
    """Figures in digits or words joined with the unit that follows."""
    out: list[Token] = []
    at = 0
    while at < len(tokens):
        read = _figure(vocabulary, tokens, at)
        if read is None:
            out.append(tokens[at])
            at += 1
            continue
        values, after, plainly = read
        units, unit_end = _unit(vocabulary, tokens, after)
        if len(values) == 1 and units:
            more, unit_end = _and_more(vocabulary, tokens, unit_end, units)
            values = (values[0] + more,)
        if tokens[after].word in {"th", "st", "nd", "rd"} if after < len(tokens) else False:
            out += tokens[at : after + 1]  # "5th gear" is no figure
            at = after + 1
            continue
        if not plainly and not (
            _counts(vocabulary, values[0], units, tokens, after)
            or _counts_beside(vocabulary, values[0], out, tokens[after : after + 3])
        ):
            out.append(tokens[at])
            at += 1
            continue
        frost, unit_end = _frost(tokens, units, max(unit_end, after))
        if frost and len(values) == 1:
            values = (-abs(values[0]),)
        for value in values:
            token = Token(tokens[at].word, tokens[at].start, tokens[max(unit_end, after) - 1].end)
            token.value = value
            token.stem = FIGURE
            _give_units(token, units)
            token.unit_said = " ".join(t.word for t in tokens[after:unit_end])
            out.append(token)
        at = max(unit_end, after)
    return out


def _with_ranges(tokens: list[Token]) -> list[Token]:
    """Two figures close to one another that the rider leaves open, `12 or 13 psi`, as the one
    halfway between."""
    out: list[Token] = []
    for token in tokens:
        is_second = token.value is not None and [t.word for t in out[-1:]] == ["or"]
        first = out[-2] if is_second and len(out) > 1 else None
        if first is None or first.value is None or token.value is None:
            out.append(token)
            continue
        is_one = not first.units or first.units == token.units
        if is_one and 0 < token.value - first.value <= max(_OPEN_BY, _OPEN_PART * first.value):
            del out[-2:]
            token.word, token.start = first.word, first.start
            token.value = (first.value + token.value) / 2
            if not token.units:
                token.units, token.lists = first.units, first.lists
        out.append(token)
    return out


def _frost(tokens: Sequence[Token], units: Sequence[UnitWords], at: int) -> tuple[bool, int]:
    """Whether what follows a figure makes it one of frost, and where that ends: `ten degrees of
    frost`, `4 below when we left`."""
    following = [t.word for t in tokens[at : at + 2]]
    if following == ["of", "frost"]:
        return any(unit.unit in _DEGREES for unit in units), at + 2
    if following[:1] != ["below"] or (units and not any(u.unit in _DEGREES for u in units)):
        return False, at
    is_alone = following[1:] == [] or following[1] in _AFTER_BELOW
    return is_alone, at + 1 if is_alone else at


def _and_more(
    vocabulary: Vocabulary, tokens: Sequence[Token], at: int, units: Sequence[UnitWords]
) -> tuple[float, int]:
    """What follows a unit and goes on with it, and where that ends: `two inches and a half`,
    `thirteen stone four`."""
    more, end = _and_a_part(vocabulary, tokens, at)
    if more or at >= len(tokens) or not any(unit.unit == "st" for unit in units):
        return more, end
    word = tokens[at].word
    pounds = float(word) if word.isdigit() else vocabulary.numbers.get(word, 0.0)
    if pounds % 1 or not 0 < pounds < _POUNDS_IN_A_STONE:
        return 0.0, at
    following, end = _unit(vocabulary, tokens, at + 1)
    if following and not any(unit.unit == "lb" for unit in following):
        return 0.0, at
    return pounds / _POUNDS_IN_A_STONE, end


def _give_units(token: Token, units: Sequence[UnitWords]) -> None:
    for unit in units:
        if unit.at_least is None or (token.value or 0.0) >= unit.at_least:
            token.lists.add(unit.name)
            if unit.unit is not None:
                token.units = (*token.units, unit.unit)


def _counts(
    vocabulary: Vocabulary,
    value: float,
    units: Sequence[UnitWords],
    tokens: Sequence[Token],
    after: int,
) -> bool:
    """Whether a number in words is a figure: it has a unit, or is one that nobody counts with."""
    if units and tokens[after].word not in {"in", "c", "f", "turn"}:
        return True
    if value == 0:
        following = tokens[after].word if after < len(tokens) else ""
        return vocabulary.key(following) in vocabulary.bare_nouns
    return value >= 10 and value != 100


def _counts_beside(
    vocabulary: Vocabulary, value: float, before: Sequence[Token], after: Sequence[Token]
) -> bool:
    """Whether a small number in words is a figure by what is around it: a part of one; last in its
    clause, right after what it may be a reading of or who printed it (`comp is eight,`), as what
    another figure became or as the last of the manual's (`book 12, 14 and two`); with an end of the
    bike after another (`3 psi rear and five front`)."""
    if value % 1 and round(value % 1, 3) not in _PARTS_SAID:
        return True
    if value < 2:
        return False
    printed = vocabulary.lists("figure-printed")
    books = [(t.word,) in printed for t in before[-_BOOK_BEFORE:]]
    is_after = any(t.value is not None and t.units for t in before[-_ANOTHER_BEFORE:])
    if not after or not after[0].is_word:
        near = [t.word for t in before[-_NAMED_BEFORE:] if t.word not in vocabulary.small]
        is_named = bool(near) and vocabulary.key(near[-1]) in vocabulary.bare_nouns
        became = is_after and before[-1].word == "to"
        is_last = [t.word for t in before[-1:]] == ["and"] and before[-2:][0].value is not None
        is_listed = is_last and any((t.word,) in printed for t in before[-_ANOTHER_BEFORE:])
        return any(books) or is_named or became or is_listed
    led_to = next((t.word for t in after if t.word not in vocabulary.small), "")
    kinds = vocabulary.classes.get(vocabulary.key(led_to), frozenset())
    places = {*vocabulary.ends, *SIDES, RIGHT_TOO}
    return any(books[-1:]) or (is_after and not kinds.isdisjoint(places))


def _figure(
    vocabulary: Vocabulary, tokens: Sequence[Token], at: int
) -> tuple[tuple[float, ...], int, bool] | None:
    """The value or values that begin at `at`, where they end, and whether they are plainly figures;
    None where there is none."""
    read = _whole_figure(vocabulary, tokens, at)
    after = at + 1 if read is None else read[1]
    part = PARTS_OF.get(tokens[after].word) if after < len(tokens) else None
    if part is None or (read is None and tokens[at].word not in {"a", "an"}):
        return read
    values = (1.0,) if read is None else read[0]
    if read is None and not _of_a_unit(vocabulary, tokens, after + 1):
        return None  # "a tenth of them"
    return tuple(round(value * part, 6) for value in values), after + 1, True


def _of_a_unit(vocabulary: Vocabulary, tokens: Sequence[Token], at: int) -> bool:
    return tokens[at - 1].word in INCH_PARTS or bool(_unit(vocabulary, tokens, at)[0])


def _whole_figure(
    vocabulary: Vocabulary, tokens: Sequence[Token], at: int
) -> tuple[tuple[float, ...], int, bool] | None:
    word = tokens[at].word
    if word in {"a", "an"} and [t.word for t in tokens[at + 1 : at + 2]] == [_INCH]:
        return (1.0,), at + 1, True
    if word[0].isdigit() or word[1:].isdigit() or word in VULGAR:
        values, after = in_digits(word), at + 1
        if len(values) == 1:
            more, after = _and_a_part(vocabulary, tokens, after)
            values = (values[0] + more,)
        if at and tokens[at - 1].word == "-" and tokens[at - 1].end == tokens[at].start:
            before = tokens[at - 2] if at > 1 else None
            if before is None or before.end < tokens[at - 1].start:
                values = tuple(-value for value in values)
        elif at and tokens[at - 1].word == "minus":
            values = tuple(-value for value in values)
        return values, after, True
    for sequence, said in vocabulary.set_figures:
        if [t.word for t in tokens[at : at + len(sequence)]] == list(sequence):
            return (said,), at + len(sequence), True
    read = _in_words(vocabulary, tokens, at)
    if read is None:
        return None
    is_below = at > 0 and tokens[at - 1].word == "minus"
    return tuple(-value if is_below else value for value in read[0]), read[1], is_below


def _in_words(
    vocabulary: Vocabulary, tokens: Sequence[Token], at: int
) -> tuple[tuple[float, ...], int] | None:
    numbers = vocabulary.numbers
    total = 0.0
    last = 0.0  # the size of what came before: after twenty only a smaller number goes on
    here = at
    if tokens[here].word in {"a", "an"} and here + 1 < len(tokens):
        if numbers.get(tokens[here + 1].word) not in (100, 1000):
            return None
        here += 1
    first = here
    while here < len(tokens) and tokens[here].word in numbers:
        value = numbers[tokens[here].word]
        spelt = [numbers.get(t.word, 0.0) for t in tokens[here : here + 3 : 2]]
        is_first = here == first and 1 <= value < 10 and _says_nought(tokens, here + 1)
        if is_first and 1 <= sum(spelt[1:]) < 10:  # two oh five
            return (value * 100 + spelt[1],), here + 3
        if value in (100, 1000):
            total = (total // 1000) * 1000 + (total % 1000 or 1) * value
        elif here == first + 1 and 1 <= last < 10 <= value:
            total = last * 100 + value  # one twenty five
        elif here == first or (last >= 20 and value < min(last, 1000) and value >= 1):
            total += value
        else:
            break
        last = value
        here += 1
        if value in (100, 1000) and here + 1 < len(tokens) and tokens[here].word == "and":
            here += numbers.get(tokens[here + 1].word, 0) >= 1
    if here == first and tokens[here].word != "point":
        return None
    decimals, here = _decimals(numbers, tokens, here)
    if here == first:
        return None
    total += decimals
    more, here = _and_a_part(vocabulary, tokens, here)
    return (total + more,), here


def _says_nought(tokens: Sequence[Token], at: int) -> bool:
    return at < len(tokens) and tokens[at].word in _NOUGHT


def _decimals(numbers: Mapping[str, float], tokens: Sequence[Token], at: int) -> tuple[float, int]:
    """What `point two five` adds, and where it ends."""
    part, size, here = 0.0, 0.1, at + 1
    if at >= len(tokens) or tokens[at].word != "point":
        return 0.0, at
    while here < len(tokens):
        word = tokens[here].word
        digit = 0.0 if word in _NOUGHT else numbers.get(word, -1.0)
        if digit not in range(10):
            break
        part, size, here = part + digit * size, size / 10, here + 1
    return (round(part, 6), here) if here > at + 1 else (0.0, at)


def _and_a_part(vocabulary: Vocabulary, tokens: Sequence[Token], at: int) -> tuple[float, int]:
    """`and a half`, `½` and the like after a whole number."""
    if at < len(tokens) and tokens[at].word in VULGAR:
        return VULGAR[tokens[at].word], at + 1
    for skipped in (["and", "a"], ["and", "an"], ["and"]):
        end = at + len(skipped)
        if [t.word for t in tokens[at:end]] == skipped and end < len(tokens):
            for sequence, said in vocabulary.set_figures:
                after = end + len(sequence)
                if 0 < said < 1 and [t.word for t in tokens[end:after]] == list(sequence):
                    return said, after
            word = tokens[end].word
            part = PARTS_OF.get(word, vocabulary.numbers.get(word, 1.0))
            if 0 < part < 1:
                return part, end + 1
    return 0.0, at


def _unit(
    vocabulary: Vocabulary, tokens: Sequence[Token], at: int
) -> tuple[tuple[UnitWords, ...], int]:
    """The units that the words from `at` on may mean, and where those words end."""
    if at > 0 and tokens[at - 1].word in INCH_PARTS and ("inch",) in vocabulary.units:
        following = [t.word for t in tokens[at : at + 3]]
        spoken = following[:1] == ["of"] and following[-1] in {"inch", "inches"}
        return vocabulary.units[("inch",)], at + (3 if spoken else 0)
    for skip in ((), ("of", "an"), ("of", "a"), ("an",), ("a",)):
        begin = at + len(skip)
        if [t.word for t in tokens[at:begin]] != list(skip):
            continue
        for count in (3, 2, 1):
            words = tuple(t.word.replace(" ", "") for t in tokens[begin : begin + count])
            if len(words) == count and words in vocabulary.units:
                found = vocabulary.units[words]
                glued = begin > 0 and tokens[begin].start == tokens[begin - 1].end
                short = len("".join(words)) == 1 and words[0] not in {"c", "k", "h", "m"}
                if words == ("in",):  # inches, unless it goes on: 16 in the rear
                    after = tokens[begin + 1].word if begin + 1 < len(tokens) else ""
                    short = after[:1].isalnum() and after != "of"
                if glued or not short:
                    return found, begin + count
    return (), at


def _count_clauses(vocabulary: Vocabulary, tokens: list[Token], words: list[str]) -> None:
    begins = {start for _, start, _ in sought(words, vocabulary.begun("clause"))}
    clause = reach = sentence = 0
    for number, token in enumerate(tokens):
        if token.word in _SENTENCE_ENDS and token.value is None:
            sentence += not (token.word == "." and words[max(0, number - 1)] == "." and number)
            clause, reach = clause + 1, reach + 1
        elif (token.word in _CLAUSE_ENDS and token.value is None) or number in begins:
            clause += 1
            reach += token.word not in _TELL_WHEN
        token.clause, token.reach, token.sentence = clause, reach, sentence


def is_negative(token: Token) -> bool:
    """Whether the word denies, as `not` does."""
    return token.stem == NOT
