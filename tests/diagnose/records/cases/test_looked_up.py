"""A figure looked up in a case goes to the record of its bike."""

from __future__ import annotations

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.case.events import Answered, Case, Complained
from diagnose.records.bikes.bike_book import BikeBook
from diagnose.records.cases.case_book import CaseBook, KeptCase
from diagnose.records.cases.closing import close, reopen, weigh_closing
from diagnose.records.store.store import Store
from rules.units.quantities import Quantity


@pytest.fixture
def book(store: Store, offroad_assessor: Assessor) -> CaseBook:
    return CaseBook(store, offroad_assessor.rules)


def looked_up(psi: float) -> Answered:
    return Answered("manual-front-tyre-pressure", "printed", Quantity(psi, "psi"))


def closed(book: CaseBook, shop: Assessor, bike: str | None, *said: Answered) -> KeptCase:
    kept = book.begin(Case(events=(Complained("harsh", "front"), *said)), bike)
    return close(book, shop, kept, weigh_closing(book.rules, kept))


def test_the_last_figure_looked_up_is_written_with_its_day_and_case(
    book: CaseBook, bikes: BikeBook, offroad_assessor: Assessor
) -> None:
    bikes.add("Demo", [])
    kept = closed(book, offroad_assessor, "Demo", looked_up(13), looked_up(14))
    figure = bikes.read("Demo").targets["front-tyre-pressure"]
    assert figure.quantity == Quantity(14, "psi")
    assert (figure.read_in, figure.on) == (
        f"the manual, looked up in case {kept.id}",
        kept.folded.said[-1].at.astimezone().date(),
    )


def test_what_the_record_says_already_is_not_written_again(
    book: CaseBook, bikes: BikeBook, offroad_assessor: Assessor
) -> None:
    bikes.add("Demo", [])
    kept = closed(book, offroad_assessor, "Demo", looked_up(14))
    version = bikes.read("Demo").version
    opened = reopen(book, kept)
    close(book, offroad_assessor, opened, weigh_closing(book.rules, opened))
    closed(book, offroad_assessor, "Demo", looked_up(14))
    assert bikes.read("Demo").version == version


def test_a_case_with_nothing_looked_up_or_no_bike_writes_nothing(
    book: CaseBook, bikes: BikeBook, offroad_assessor: Assessor
) -> None:
    bikes.add("Demo", [])
    closed(book, offroad_assessor, None, looked_up(14))
    reading = Answered("front-tyre-gauge", "ok", Quantity(13, "psi"))
    closed(book, offroad_assessor, "Demo", reading)
    assert bikes.read("Demo").version == 0
