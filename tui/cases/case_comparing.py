"""A case beside earlier ones of its bike and like ones of other bikes."""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.case.events import standing
from diagnose.records.cases.case_book import KeptCase
from diagnose.records.cases.case_lists import (
    CaseFilter,
    CaseRow,
    list_cases,
    proven_causes,
    similar_cases,
)
from diagnose.records.store.store import Store

_EARLIER = 10


@dataclass(frozen=True, slots=True)
class LikeCases:
    """Cases of the same bike, cases of others with the same complaint, and the causes proven behind
    it, each with its number of cases."""

    earlier: tuple[CaseRow, ...]
    similar: tuple[CaseRow, ...]
    proven: tuple[tuple[str, int], ...]


def compare(store: Store, kept: KeptCase) -> LikeCases:
    """The cases that are like `kept`, without itself. Raises `StoreProblem`."""
    complaints = list({item.complaint: None for item in standing(kept.case).complaints})
    earlier: tuple[CaseRow, ...] = ()
    if kept.bike is not None:
        earlier = list_cases(store, CaseFilter(bike=kept.bike, limit=_EARLIER)).rows
    similar = similar_cases(store, complaints, besides=kept.id)
    return LikeCases(
        tuple(row for row in earlier if row.id != kept.id),
        tuple(row for row in similar if kept.bike is None or row.bike != kept.bike),
        tuple(proven_causes(store, complaints)),
    )
