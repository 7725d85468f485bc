"""Cases to put on cards."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.cards.card_facts import CardFacts
from diagnose.case.events import Case, Event
from diagnose.records.bikes.bike_book import BikeBook
from diagnose.records.bikes.bike_journal import FactsEntry, RideEntry, ServiceEntry
from diagnose.records.cases.case_book import CaseBook
from diagnose.records.cases.closing import close, weigh_closing
from diagnose.records.cases.fitting import fitted
from diagnose.records.store.opening import open_store
from diagnose.records.store.place import at_path

NOON = datetime(2026, 5, 1, 12, tzinfo=UTC)
MakeFacts = Callable[..., CardFacts]


@pytest.fixture
def make_facts(tmp_path: Path) -> MakeFacts:
    """`make_facts(shop, case, *events, close=True)`: a kept case of a kept bike, ready for a card."""

    def make(
        shop: Assessor,
        case: Case,
        *events: Event,
        closed: bool = True,
        cause: str | None = None,
        bike: str = "Demo",
    ) -> CardFacts:
        store = open_store(at_path(tmp_path / "store.sqlite"), lambda: NOON, create=True)
        bikes = BikeBook(store)
        clocks = [name for name, o in shop.rules.observations.items() if o.unit == "h" and o.target]
        log = [ServiceEntry(clock=clock, on=date(2026, 1, 1)) for clock in clocks]
        bikes.add(
            bike,
            [
                FactsEntry(),
                *log,
                *[RideEntry(on=date(2026, 4, day), hours=4) for day in (4, 12, 20)],
            ],
        )
        book = CaseBook(store, shop.rules)
        kept = book.begin(case, bike)
        for event in events:
            kept = book.record(kept, kept.case.with_event(event))
        if closed:
            kept = close(book, shop, kept, weigh_closing(shop.rules, kept, cause=cause))
        assessment = shop.assess(fitted(shop.rules, kept.case))
        return CardFacts(shop.rules, kept, assessment, bikes.read(bike), date(2026, 5, 1))

    return make
