"""What a pack may say about how riders talk: phrases for its entries, and lists of words.

A phrase is words in order, as a rider puts them; endings and small words do not matter. `a|b` is
either word, `a & b` both within a clause in any order, `a && b` within a sentence, `a_b` with
nothing between, `=a` exactly that form of a word, and a word in capitals any word of that list:
`REAR & kick|buck`. `NOT` is any word that denies.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Annotated, Literal, Self

from pydantic import BeforeValidator, Field, StringConstraints, model_validator

from rules.language.schema import Id, QuantityText, Sourced, StrictModel, Unit, as_text, as_tuple

MOST_PHRASES = 400
NOT = "NOT"
"""In a phrase, any word that denies."""
_WORD = r"(?:=?[a-z0-9'’/°.-]+|[A-Z]+(?:-[A-Z]+)*)"
_PIECE = rf"{_WORD}(?:\|{_WORD})*"
_GROUP = rf"{_PIECE}(?:_{_PIECE})*"
_PHRASE = rf"^{_GROUP}(?: (?:&&? )?{_GROUP})*$"
_SLOT = re.compile(r"(?<![^ |_])[A-Z]+(?:-[A-Z]+)*(?![^ |_])")

PhraseText = Annotated[str, StringConstraints(pattern=_PHRASE, max_length=300)]
Phrases = Annotated[
    tuple[PhraseText, ...],
    BeforeValidator(as_tuple, json_schema_input_type=list[PhraseText]),
    Field(max_length=MOST_PHRASES),
]
Word = Annotated[str, StringConstraints(min_length=1, max_length=200, strip_whitespace=True)]
Words = Annotated[tuple[Word, ...], BeforeValidator(as_tuple, json_schema_input_type=list[Word])]

_Range = Annotated[tuple[QuantityText, QuantityText], BeforeValidator(as_tuple)]
_Meaning = Annotated[Word, BeforeValidator(as_text, json_schema_input_type=str | float)]

Role = Literal[
    "class",
    "form",
    "number",
    "unit",
    "glue",
    "plain",
    "small",
    "negative",
    "clause",
    "set-aside",
    "denies",
    "denies-after",
    "not-denying",
    "denial-ends",
    "past",
    "past-ends",
    "past-clause",
    "past-sentence",
    "of-others",
    "of-others-at-start",
    "of-others-ends",
    "of-others-beside",
    "ones-own",
    "supposed",
    "supposed-at-start",
    "supposed-ends",
    "figure-wanted",
    "figure-printed",
    "figure-own",
    "figure-other",
    "figure-gauge",
    "figure-tried",
    "figure-changed",
    "figure-moved",
    "figure-about",
    "figure-corrected",
]
PAIRED = frozenset({"form", "number"})


class About(StrictModel):
    """How a reading is talked of: the `nouns` that name it, and those that name another.

    `bare`: it may stand without its unit; `bare_in`: the same, with what it may be in each unit
    that riders leave out (`[[40 kg, 125 kg], [181 lb, 330 lb]]`: 205 is in pounds, 150 is open).
    `alone`: its unit says enough, no noun is needed. `likely`: what a rider may mean, where that is
    narrower than what can be measured. `end`: the end of the bike it is at, where its nouns fit a
    reading at the other end too; `unsaid`: it is meant where no end is said. `beside_end`: a figure
    without a unit beside its end may be it; it is taken where one of the nouns is said too, else
    asked about. `side`: the side of the bike it is on; it is meant where that side is said, and
    where none is if it is `side_unsaid`.
    """

    nouns: Phrases = ()
    not_: Phrases = Field(default=(), alias="not")
    bare: bool = False
    bare_in: Annotated[tuple[_Range, ...], BeforeValidator(as_tuple)] = ()
    alone: bool = False
    likely: _Range | None = None
    end: Id | None = None
    unsaid: bool = False
    side: Literal["left", "right"] | None = None
    side_unsaid: bool = False
    beside_end: bool = False


class Heard(Sourced):
    """How riders talk of an entry: the one of the same id, or the one that `of` names.

    For a complaint `said` is what can only mean it, `with_end` what means it where an end of the
    bike is named and is asked about otherwise, `hint` what is always asked about. For an
    observation or a trait `states` has phrases by state; `not` are phrases that look like one and
    are none, and `denied` is the state where somebody says that none of the others is so. What is
    of an `end` of the bike counts only where that end is meant; a complaint of one is asked about
    where it is said of another. `about` is for a reading.
    """

    of: Id | None = None
    said: Phrases = ()
    with_end: Phrases = ()
    hint: Phrases = ()
    states: dict[Id, Phrases] = Field(default_factory=dict)
    not_: Phrases = Field(default=(), alias="not")
    denied: Id | None = None
    beside: Annotated[tuple[Id, ...], BeforeValidator(as_tuple)] = ()
    end: Id | None = None
    about: About | None = None

    @model_validator(mode="after")
    def _says_something(self) -> Self:
        complaint = bool(self.said or self.with_end or self.hint)
        other = bool(self.states or self.denied or self.about)
        if complaint == other:
            raise ValueError(
                "give `said`, `with_end` and `hint` for a complaint, or `states`, `denied` and "
                "`about` for what can be observed"
            )
        return self

    def phrases(self) -> Iterator[tuple[tuple[str | int, ...], str]]:
        """(path, phrase) of every phrase of the entry."""
        for field in ("said", "with_end", "hint"):
            yield from (((field, n), text) for n, text in enumerate(getattr(self, field)))
        for state, phrases in self.states.items():
            yield from ((("states", state, n), text) for n, text in enumerate(phrases))
        yield from ((("not", n), text) for n, text in enumerate(self.not_))
        if self.about is not None:
            yield from ((("about", "nouns", n), t) for n, t in enumerate(self.about.nouns))
            yield from ((("about", "not", n), t) for n, t in enumerate(self.about.not_))


class WordList(Sourced):
    """Words that do one job in listening, by `role`.

    `class` words can stand for one another in a phrase under the list's id in capitals, or under
    that of the list named by `of`, in any of their forms or, `=tyres`, in just that one. `form` and
    `number` have `pairs`: how a word is written and what it stands for. A `unit` list names a unit
    as riders say it. `glue` falls out of phrases, `plain` words are never taken for a typing
    mistake, `small` words cost nothing between others,
    `set-aside` are phrases in which words mean something else.
    The other roles say who or what a sentence is about: `denies`, `past`, `of-others`, `supposed`,
    with what ends each (`past-clause` words need not stand first in theirs). `of-others-beside`
    words are of others only in a sentence with one of `ones-own`. A figure that is
    `figure-wanted` or `figure-changed` is no reading, nor are clicks by which a setting was
    `figure-moved`; `figure-about` words may stand before one; `figure-printed` words say that it
    is the manual's, `figure-own` words after them that the next was read again, `figure-other`
    words that it is another person's where the rider gives his own; what a
    `figure-gauge` says was read, not wanted. A few clicks out before a `figure-tried` word are a
    step.
    """

    role: Role
    of: Id | None = None
    words: Words = ()
    pairs: dict[
        Word, Annotated[Word, BeforeValidator(as_text, json_schema_input_type=str | float)]
    ] = Field(default_factory=dict)
    unit: Unit | None = None
    at_least: Annotated[float, Field(strict=False)] | None = None

    @model_validator(mode="after")
    def _fits_role(self) -> Self:
        if self.role in PAIRED:
            if not self.pairs or self.words:
                raise ValueError(f"a list of role {self.role!r} has `pairs` and no `words`")
        elif not self.words or self.pairs:
            raise ValueError(f"a list of role {self.role!r} has `words` and no `pairs`")
        if self.role != "unit" and (self.unit is not None or self.at_least is not None):
            raise ValueError("only a list of role 'unit' has `unit` and `at_least`")
        return self


def slots(phrase: str) -> tuple[str, ...]:
    """The ids of the word lists that a phrase names in capitals."""
    return tuple(name.lower() for name in _SLOT.findall(phrase) if name != NOT)
