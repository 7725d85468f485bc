"""What a card is made of, before anybody decides what it looks like."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from rules.rulebase import RuleBase

Audience = Literal["workshop", "customer", "take-along"]
"""Whom a card is for; `take-along` is what a rider takes to a workshop."""


@dataclass(frozen=True, slots=True)
class Drawing:
    """A picture of the rule base: its `svg`, which draws and does nothing else, and its words, for
    where there are no pictures."""

    title: str
    description: str
    svg: str


@dataclass(frozen=True, slots=True)
class ChartedCause:
    """A cause: how likely it was after each moment of a case, and whether it was put right."""

    title: str
    shares: tuple[float, ...]
    put_right: bool


@dataclass(frozen=True, slots=True)
class ChartedFigure:
    """A reading that work brought to its figure: as `value unit`, and the values in one unit."""

    title: str
    found: str
    set_to: str
    values: tuple[float, float]


@dataclass(frozen=True, slots=True)
class Chart:
    """A case as a picture. `moments` are what was said or done, `work` and `rides` the places among
    them where work was done and where it was ridden; `proof` has a complaint and what the last ride
    says of it, empty where none was ridden."""

    moments: tuple[str, ...] = ()
    work: frozenset[int] = frozenset()
    rides: frozenset[int] = frozenset()
    causes: tuple[ChartedCause, ...] = ()
    figures: tuple[ChartedFigure, ...] = ()
    proof: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Section:
    """A heading and what is under it: sentences, then a list, then a table, then drawings. A
    `chart` shows what the sentences, list and table say; it stands before them where there are
    pictures, in place of list and table.

    A `warning` section must stand out. `table` rows go with `head`.
    """

    heading: str
    sentences: tuple[str, ...] = ()
    items: tuple[str, ...] = ()
    head: tuple[str, ...] = ()
    table: tuple[tuple[str, ...], ...] = ()
    warning: bool = False
    drawings: tuple[Drawing, ...] = ()
    chart: Chart | None = None

    @property
    def is_empty(self) -> bool:
        """Whether there is nothing under the heading."""
        return not (self.sentences or self.items or self.table or self.drawings)

    @property
    def told_in_words(self) -> str:
        """What a chart shows, for who cannot see it: its table without the bars, and its list."""
        rows = (f"{first}: {rest[-1]}" for first, *rest in self.table)
        return "; ".join((*rows, *self.items))


@dataclass(frozen=True, slots=True)
class Card:
    """A card ready to be written. `facts` are (label, value) pairs under the title."""

    audience: Audience
    title: str
    facts: tuple[tuple[str, str], ...]
    sections: tuple[Section, ...]
    foot: str


def card_of(
    audience: Audience,
    title: str,
    facts: list[tuple[str, str]],
    sections: list[Section],
    foot: str,
) -> Card:
    """A card without its empty sections; every text in one line, without control characters."""
    kept = tuple(_clean_section(section) for section in sections if not section.is_empty)
    clean_facts = tuple((clean(label), clean(value)) for label, value in facts if value)
    return Card(audience, clean(title), clean_facts, kept, clean(foot))


def _clean_section(section: Section) -> Section:
    return Section(
        clean(section.heading),
        tuple(clean(text) for text in section.sentences if text),
        tuple(clean(text) for text in section.items if text),
        tuple(clean(text) for text in section.head),
        tuple(tuple(clean(cell) for cell in row) for row in section.table),
        section.warning,
        section.drawings,
        section.chart,
    )


def drawings_of(rules: RuleBase, pictures: Iterable[str | None]) -> tuple[Drawing, ...]:
    """The drawings with these ids, each once; None stands for no picture."""
    named = [(rules.pictures[name], name) for name in dict.fromkeys(pictures) if name]
    return tuple(
        Drawing(clean(picture.title), clean(picture.description), rules.drawings[name])
        for picture, name in named
    )


def clean(text: str) -> str:
    """`text` in one line, without characters that cannot be printed."""
    kept = "".join(c for c in text if c.isprintable() or c.isspace())
    return " ".join(kept.split())
