"""What a rule base rests on: its entries and strengths, counted by the kind and grade of source."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import get_args

from rules.language.schema import Grade, Source
from rules.language.sections import TABLES
from rules.rulebase import RuleBase

UNGRADED = "published, not graded"
_UNPRINTED = ("computed", "common practice", "memory")
RANKS = (*get_args(Grade), UNGRADED, *_UNPRINTED)
"""Kinds and grades of source, the weightiest first."""


@dataclass(frozen=True, slots=True)
class Resting:
    """How much rests on sources of one rank: the sources of it, and the entries and links that name
    none weightier. A link is a strength; its number is printed nowhere, whatever shows the link."""

    rank: str
    sources: int
    entries: int
    links: int


def rank(source: Source) -> str:
    """The kind of a source, or its grade where it is published."""
    if source.kind == "published":
        return source.grade or UNGRADED
    return source.kind.replace("-", " ")


def provenance(rules: RuleBase) -> tuple[Resting, ...]:
    """What rests on each rank of source, the weightiest first; ranks without a source are left
    out."""
    ranks = {key: rank(source) for key, source in rules.sources.items()}
    sources = Counter(ranks.values())
    entries = Counter(_weightiest(ranks, named) for named in _sourced(rules))
    links = Counter(_weightiest(ranks, link.source) for link in rules.links)
    return tuple(
        Resting(name, sources[name], entries[name], links[name]) for name in RANKS if sources[name]
    )


def _weightiest(ranks: dict[str, str], named: Iterable[str]) -> str:
    return min((ranks[name] for name in named), key=RANKS.index)


def _sourced(rules: RuleBase) -> Iterator[tuple[str, ...]]:
    """The sources of every entry that names any."""
    for section in TABLES:
        for entry in getattr(rules, section).values():
            if not isinstance(entry, Source):
                yield entry.source
