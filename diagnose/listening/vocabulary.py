"""The words of a rule base, made ready for listening."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence, Set
from dataclasses import dataclass
from functools import cached_property, lru_cache

from diagnose.listening.digits import PARTS_OF
from diagnose.listening.phrases import NOT, WITHIN_SENTENCE, Kind, Level, Phrase, elements_of
from diagnose.listening.spelling import Spelling
from diagnose.listening.stems import Stems
from rules.language.rider_words import About, Role
from rules.rulebase import RuleBase
from rules.units.quantities import parse_quantity

BOTH, BARS, FINE, OTHER_PART, END_OPEN = "BOTH", "BARS", "FINE", "OTHER-PART", "END-OPEN"
EACH, BIKE, PERSON = "EACH", "BIKE", "PERSON-FIGURE"
RIGHT_TOO = "RIGHT-TOO"
SIDES = {"LEFT-SIDE": "left", "RIGHT-SIDE": "right"}
"""Lists that listening itself knows: both ends of the bike, its bars, praise, parts not
ours, words that leave open which end it is, things of which there is one at each
end, the bike and what it does as a whole, what a
person's weight is said by; the sides of the bike, what is the right one
where the left is named."""
AT = "AT-"
"""Before the name of an end: parts that are there, and say so where no end is named."""
_OF_AN_END, _OF_A_SMALL_WORD, _OF_A_NEW_WORD = 0.35, 0.1, 0.8  # nats


@dataclass(frozen=True, slots=True)
class UnitWords:
    """A unit as riders say it: the list it stands in, and its printed symbol, if it has one."""

    name: str
    unit: str | None
    at_least: float | None


Begun = dict[str, list[tuple[int, tuple[str, ...]]]]
"""Sequences of words by their first word, each with its place among all."""


def by_first_word(sequences: Iterable[tuple[str, ...]]) -> Begun:
    """Sequences so that those that may begin at a word are found without trying the others."""
    begun: Begun = {}
    for number, sequence in enumerate(sequences):
        begun.setdefault(sequence[0], []).append((number, sequence))
    return begun


class Vocabulary:
    """Phrases, lists and figures of a rule base. Works with a pack that has none of its own: what
    its complaints are `said` to be are phrases too."""

    def __init__(self, rules: RuleBase) -> None:
        self.rules = rules
        self.forms = self._pairs("form")
        self._lists: dict[Role, list[tuple[str, ...]]] = {}
        self._begun: dict[Role, Begun] = {}
        self._stems = Stems(self.forms)
        self.glue = frozenset(self._single("glue"))
        self.small = self.glue | set(self._single("small"))
        self.negative = frozenset(self._single("negative"))
        others = [*self.lists("of-others"), *self.lists("of-others-beside")]
        self.people = frozenset(word for sequence in others for word in sequence)
        self.ends = frozenset(p.upper() for c in rules.complaints.values() for p in c.places)
        self.numbers, self.set_figures = self._numbers()
        self.units = self._units()
        self._written: set[str] = set()
        self.shrunk: list[tuple[tuple[str, str], tuple[str | int, ...], str]] = []
        self.classes, self.long_classes = self._classes()
        self.long_begun = by_first_word([sequence for sequence, _ in self.long_classes])
        self.phrases = tuple(self._phrases())
        self._weigh()
        self.repaired = lru_cache(4096)(self._spelling.repaired)

    def lists(self, role: Role) -> list[tuple[str, ...]]:
        """Every entry of the lists of this role, as words."""
        known = self._lists.get(role)
        if known is None:
            known = self._lists[role] = [
                self._spelt(text.lower().replace("'", "").replace("-", " "))
                for words in self.rules.vocabulary.values()
                if words.role == role
                for text in words.words
            ]
        return known

    def begun(self, role: Role) -> Begun:
        """The entries of the lists of this role by their first words."""
        if role not in self._begun:
            self._begun[role] = by_first_word(self.lists(role))
        return self._begun[role]

    def _spelt(self, text: str) -> tuple[str, ...]:
        """The words of an entry as a rider's are: `braking bumps` is brake bumps there too."""
        return tuple(part for word in text.split() for part in self.forms.get(word, word).split())

    def key(self, word: str) -> str:
        """What a word is compared as: itself where it is small, else its stem."""
        if word in self.negative:
            return NOT
        return word if word in self.small else self._stems.stem(word)

    def worth(self, phrase: Phrase, keys: Set[str]) -> float:
        """How much a word that a phrase found tells about what is meant, in nats."""
        met = [key for element in phrase.elements for key in element & keys]
        return max((self._worth(key) for key in met), default=0.0)

    def _worth(self, key: str) -> float:
        if key in self.ends or key == BOTH:
            return _OF_AN_END
        return self.idf.get(key, _OF_A_SMALL_WORD if key in self.small else _OF_A_NEW_WORD)

    @cached_property
    def readings(self) -> Mapping[str, About]:
        """How each reading is talked of, by observation."""
        return {
            heard.of or key: heard.about
            for key, heard in self.rules.heard.items()
            if heard.about is not None
        }

    @cached_property
    def looked_up(self) -> Mapping[str, str]:
        """The observation that enters the manual's figure for a reading, by the reading."""
        known = self.rules.observations
        entering = {entry.enters: key for key, entry in known.items() if entry.enters is not None}
        return {
            key: entering[entry.target]
            for key, entry in known.items()
            if entry.target is not None and entry.target in entering
        }

    @cached_property
    def ranges(self) -> Mapping[str, tuple[str, float, float]]:
        """(unit, lowest, highest) of what a rider may mean by each of those readings."""
        found = {}
        for name, about in self.readings.items():
            entry = self.rules.observations[name]
            unit = entry.unit
            assert unit is not None and entry.limits is not None
            limits = [entry.limits, about.likely or entry.limits]
            pairs = [
                [parse_quantity(text, unit).to(unit).value for text in each] for each in limits
            ]
            found[name] = unit, max(p[0] for p in pairs), min(p[1] for p in pairs)
        return found

    @cached_property
    def bare_ranges(self) -> Mapping[str, tuple[tuple[str, float, float], ...]]:
        """(unit, lowest, highest) of what a figure without a unit may be, by reading; in the
        reading's own unit where nothing else is said."""
        found = {}
        for name, about in self.readings.items():
            pairs = [[parse_quantity(text) for text in each] for each in about.bare_in]
            given = tuple((low.unit, low.value, high.to(low.unit).value) for low, high in pairs)
            found[name] = given or (self.ranges[name],)
        return found

    @cached_property
    def denied(self) -> Mapping[str, str]:
        """What it means, by observation or trait, that none of its other states is so."""
        items = self.rules.heard.items()
        return {heard.of or key: heard.denied for key, heard in items if heard.denied is not None}

    @cached_property
    def beside(self) -> Mapping[str, tuple[str, ...]]:
        """The complaints that an observation tells about, by observation, where it is only some."""
        items = self.rules.heard.items()
        return {heard.of or key: heard.beside for key, heard in items if heard.beside}

    @cached_property
    def twins(self) -> Mapping[str, str]:
        """Observations that can be made at another end of the bike too, each with its own end."""
        known, ends = self.rules.observations, sorted(end.lower() for end in self.ends)
        return {
            key: end
            for key in known
            for end in ends
            if any(key.replace(end, other, 1) in known for other in ends if end != other)
            and end in key.split("-")
        }

    @cached_property
    def heard_of(self) -> Mapping[str, str]:
        """The end that must be meant for the phrases of an entry to count, by entry."""
        items = self.rules.heard.items()
        given = {key: heard.end or self.twins.get(heard.of or key) for key, heard in items}
        return {key: end for key, end in given.items() if end is not None}

    @cached_property
    def bare_nouns(self) -> frozenset[str]:
        """Words that name a reading which may stand without its unit."""
        bare = {name for name, about in self.readings.items() if about.bare or about.bare_in}
        nouns = (p for p in self.phrases if p.kind == "noun" and p.owner in bare)
        return frozenset(word for p in nouns for element in p.elements for word in element)

    @cached_property
    def bare_units(self) -> Mapping[str, frozenset[str]]:
        """The units of the readings that a single word names, where they may stand without it."""
        found: dict[str, frozenset[str]] = {}
        for phrase in self.phrases:
            about = self.readings.get(phrase.owner)
            is_bare = about is not None and (about.bare or about.bare_in)
            if phrase.kind == "noun" and is_bare and len(phrase.elements) == 1:
                for word in phrase.elements[0]:
                    unit = self.ranges[phrase.owner][0]
                    found[word] = found.get(word, frozenset()) | {unit}
        return found

    @cached_property
    def first(self) -> Mapping[str, Sequence[int]]:
        """The phrases to try where a key stands: each under its rarest element."""
        found: dict[str, list[int]] = {}
        for number, phrase in enumerate(self.phrases):
            rarest = min(
                phrase.elements, key=lambda e: 10 * sum(k[:1].isupper() for k in e) + len(e)
            )
            for key in rarest:
                found.setdefault(key, []).append(number)
        return found

    def _single(self, role: Role) -> list[str]:
        """The entries of one word, as the phrases of a pack have them."""
        return [
            text.lower().replace("'", "")
            for words in self.rules.vocabulary.values()
            if words.role == role
            for text in words.words
            if len(text.replace("-", " ").split()) == 1
        ]

    def _pairs(self, role: Role) -> dict[str, str]:
        return {
            form.lower(): word.lower()
            for words in self.rules.vocabulary.values()
            if words.role == role
            for form, word in words.pairs.items()
        }

    def _numbers(self) -> tuple[dict[str, float], list[tuple[tuple[str, ...], float]]]:
        single: dict[str, float] = {}
        several: list[tuple[tuple[str, ...], float]] = []
        for text, value in self._pairs("number").items():
            words = tuple(text.split())
            if len(words) == 1:
                single[text] = float(value)
            else:
                several.append((words, float(value)))
        return single, sorted(several, key=lambda item: -len(item[0]))

    def _units(self) -> dict[tuple[str, ...], tuple[UnitWords, ...]]:
        found: dict[tuple[str, ...], tuple[UnitWords, ...]] = {}
        for key, words in self.rules.vocabulary.items():
            if words.role == "unit":
                unit = UnitWords((words.of or key).upper(), words.unit, words.at_least)
                for text in words.words:
                    spelt = tuple(text.lower().split())
                    found[spelt] = (*found.get(spelt, ()), unit)
        return found

    def _classes(self) -> tuple[dict[str, frozenset[str]], list[tuple[tuple[str, ...], str]]]:
        single: dict[str, frozenset[str]] = {}
        several: list[tuple[tuple[str, ...], str]] = []
        for key, words in self.rules.vocabulary.items():
            if words.role != "class":
                continue
            name = (words.of or key).upper()
            for text in words.words:
                exact = text.startswith("=")
                sequence = self._spelt(text.removeprefix("=").lower().replace("-", " "))
                self._written.update(sequence, text.removeprefix("=").lower().split())
                if len(sequence) == 1 and not exact:
                    stem = self.key(sequence[0])
                    single[stem] = single.get(stem, frozenset()) | {name}
                else:
                    several.append((sequence, name))
        return single, sorted(several, key=lambda item: -len(item[0]))

    def _phrases(self) -> Iterator[Phrase]:
        hinted: set[tuple[object, ...]] = set()
        for key, heard in self.rules.heard.items():
            owner = heard.of or key
            for path, text in heard.phrases():
                phrase = self._made(self._sort(owner, path), text, ("heard", key), path)
                if phrase is not None:
                    hinted.add((owner, *phrase.pattern))
                    yield phrase
        for key, complaint in self.rules.complaints.items():
            for number, text in enumerate(complaint.said):
                name, at = ("complaints", key), ("said", number)
                phrase = self._made(
                    ("complaint", key, "", "said"), text.replace("&", " "), name, at
                )
                if phrase is not None and (key, *phrase.pattern) not in hinted:
                    yield phrase
        for key, words in self.rules.vocabulary.items():
            for number, text in enumerate(words.words if words.role == "set-aside" else ()):
                name, at = ("vocabulary", key), ("words", number)
                phrase = self._made(("set-aside", "", "", "said"), text, name, at)
                if phrase is not None:
                    yield phrase

    def _sort(self, owner: str, path: tuple[str | int, ...]) -> tuple[Kind, str, str, Level]:
        match path:
            case ("states", str(state), _):
                return ("trait" if owner in self.rules.traits else "fact"), owner, state, "said"
            case ("not", _):
                return "no-fact", owner, "", "said"
            case ("about", "nouns", _):
                return "noun", owner, "", "said"
            case ("about", "not", _):
                return "no-noun", owner, "", "said"
            case (("said" | "with_end" | "hint") as level, _):
                return "complaint", owner, "", level
        raise AssertionError(path)

    def _made(
        self,
        as_what: tuple[Kind, str, str, Level],
        text: str,
        name: tuple[str, str],
        path: tuple[str | int, ...],
    ) -> Phrase | None:
        """The phrase; None, and noted, where next to nothing of it is left without small words."""
        elements, close, ordered = elements_of(text, self._element, self.glue)
        shrunk = len(elements) == 1 and len(re.split(r"[ _]", text)) > 1
        if not elements or shrunk or all(e <= self.small for e in elements):
            self.shrunk.append((name, path, text))
            return None
        wide = WITHIN_SENTENCE in text
        return Phrase(*as_what, elements, close, ordered, wide, text, name, path)

    def _element(self, word: str) -> str:
        if word.startswith("=") or word[:1].isupper():
            return word
        word = word.lower().replace("'", "")
        self._written.add(word)
        return self.key(word)

    def _weigh(self) -> None:
        """What each word tells: the fewer complaints it is said of, the more."""
        said_of: dict[str, set[str]] = {}
        for phrase in self.phrases:
            if phrase.kind == "complaint" and phrase.level == "said":
                for key in (key for element in phrase.elements for key in element):
                    said_of.setdefault(key, set()).add(phrase.owner)
        count = len(self.rules.complaints)
        self.own_parts = self.ends | {BARS, "TYRE"}
        self.broad = self.ends | {BOTH, BARS}
        """The lists that say where something is, not what."""
        self.idf = {
            key: math.log((count + 1) / (len(owners) + 0.5)) for key, owners in said_of.items()
        }

    @cached_property
    def _spelling(self) -> Spelling:
        plain = {*self.forms, *self.numbers, *PARTS_OF} | self.small | self.negative
        stems = {k for p in self.phrases for e in p.elements for k in e} | self.classes.keys()
        return Spelling(
            self.rules, self._written, plain, self.forms, lambda word: self.key(word) in stems
        )
