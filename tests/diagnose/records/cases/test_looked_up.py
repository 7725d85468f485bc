"""What a case finds out about its bike for good goes to the bike's record when it is said."""

from __future__ import annotations

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.case.events import Answered, Case, Complained, Corrected, Event, Noted, Rode
from diagnose.diagnosis import Diagnosis
from diagnose.records.bikes.bike_book import BikeBook
from diagnose.records.bikes.bike_journal import FactsEntry, TargetEntry
from diagnose.records.cases.case_book import CaseBook
from diagnose.records.cases.closing import changed_besides, close, reopen, weigh_closing
from diagnose.records.cases.keeping import CaseKeeping
from diagnose.records.cases.known import assumptions
from diagnose.records.store.entry_lines import Amount
from diagnose.records.store.store import Store
from rules.units.quantities import Quantity

SPEC = "front-tyre-pressure"
HARSH = Complained("harsh", "front")


@pytest.fixture
def book(store: Store, offroad_assessor: Assessor) -> CaseBook:
    return CaseBook(store, offroad_assessor.rules)


def looked_up(psi: float) -> Answered:
    return Answered("manual-front-tyre-pressure", reading=Quantity(psi, "psi"))


def begun(
    book: CaseBook, shop: Assessor, bike: str | None, *said: Event, machine: Case | None = None
) -> Diagnosis:
    diagnosis = Diagnosis(shop, keeping=CaseKeeping(book, machine, bike=bike))
    for event in (HARSH, *said):
        diagnosis.add(event)
        diagnosis.commit()
    return diagnosis


def taken_back(diagnosis: Diagnosis) -> None:
    assert diagnosis.undo()
    diagnosis.commit()


def test_a_figure_is_in_the_record_as_soon_as_it_is_looked_up(
    book: CaseBook, bikes: BikeBook, offroad_assessor: Assessor
) -> None:
    bikes.add("Demo", [])
    begun(book, offroad_assessor, "Demo", looked_up(13), looked_up(14))
    figure = bikes.read("Demo").targets[SPEC]
    kept = book.read(1)
    assert figure.quantity == Quantity(14, "psi")
    assert (figure.read_in, figure.on) == (
        "the manual, looked up in case 1",
        kept.folded.said[-1].at.astimezone().date(),
    )


def test_what_is_taken_back_gives_way_to_what_the_record_had(
    book: CaseBook, bikes: BikeBook, offroad_assessor: Assessor
) -> None:
    diagnosis = begun(book, offroad_assessor, None)
    day = book.now().date()
    had = TargetEntry(spec=SPEC, figure=Amount.of(Quantity(12, "psi")), read_in="p. 30", on=day)
    bikes.add("Demo", [had])
    diagnosis = begun(book, offroad_assessor, "Demo", looked_up(13), looked_up(14))
    for psi in (13, 12):
        taken_back(diagnosis)
        assert bikes.read("Demo").targets[SPEC].quantity == Quantity(psi, "psi")
    assert bikes.read("Demo").targets[SPEC].read_in == "p. 30"


def test_what_somebody_put_there_since_stays(
    book: CaseBook, bikes: BikeBook, offroad_assessor: Assessor
) -> None:
    bikes.add("Demo", [])
    diagnosis = begun(book, offroad_assessor, "Demo", looked_up(13))
    amount = Amount.of(Quantity(15, "psi"))
    bikes.append(
        "Demo", [TargetEntry(spec=SPEC, figure=amount, read_in="p. 31", on=book.now().date())]
    )
    diagnosis.add(Answered("front-tyre-gauge", reading=Quantity(13, "psi")))
    diagnosis.commit()
    taken_back(diagnosis)
    taken_back(diagnosis)
    assert bikes.read("Demo").targets[SPEC].quantity == Quantity(15, "psi")


def test_what_the_record_says_already_is_not_written_again(
    book: CaseBook, bikes: BikeBook, offroad_assessor: Assessor
) -> None:
    bikes.add("Demo", [])
    begun(book, offroad_assessor, "Demo", looked_up(14))
    version = bikes.read("Demo").version
    kept = book.read(1)
    reopened = reopen(book, close(book, offroad_assessor, kept, weigh_closing(book.rules, kept)))
    again = Diagnosis(offroad_assessor, keeping=CaseKeeping(book, kept=reopened))
    again.add(Noted("waits for parts"))
    again.commit()
    begun(book, offroad_assessor, "Demo", looked_up(14))
    assert bikes.read("Demo").version == version


def test_a_case_with_nothing_looked_up_or_no_bike_writes_nothing(
    book: CaseBook, bikes: BikeBook, offroad_assessor: Assessor
) -> None:
    bikes.add("Demo", [])
    begun(book, offroad_assessor, None, looked_up(14))
    begun(book, offroad_assessor, "Demo", Answered("shows-small-chop", "yes"))
    assert bikes.read("Demo").version == 0


def test_readings_are_the_bikes_dated_and_follow_what_is_said_of_them(
    book: CaseBook, bikes: BikeBook, offroad_assessor: Assessor
) -> None:
    def gauge(psi: float) -> Answered:
        return Answered("front-tyre-gauge", reading=Quantity(psi, "psi"))

    def held() -> list[tuple[str, float, int | None]]:
        return [
            (s.answer.observation, s.answer.reading.value, s.measured_in)
            for s in bikes.read("Demo").settings
            if s.answer.reading
        ]

    bikes.add("Demo", [])
    diagnosis = begun(book, offroad_assessor, "Demo", gauge(25))
    assert held() == [("front-tyre-gauge", 25, 1)]
    assert bikes.read("Demo").settings[0].on == book.read(1).folded.said[-1].at.astimezone().date()
    diagnosis.change(1, gauge(24))
    diagnosis.commit()
    assert held() == [("front-tyre-gauge", 24, 1)]
    for event in (Corrected("set-front-tyre-pressure"), gauge(13), Rode("gone")):
        diagnosis.add(event)
        diagnosis.commit()
    assert held() == [("front-tyre-gauge", 24, 1), ("front-tyre-gauge", 13, 1)]
    for _ in range(5):
        taken_back(diagnosis)
    assert held() == []
    # what was only found so is not taken for granted in the next case, and is no work done besides
    begun(book, offroad_assessor, "Demo", gauge(20))
    assert assumptions(book.rules, bikes.read("Demo"), book.now().date()) == []
    assert changed_besides(book.rules, book.read(1), bikes.read("Demo")) == []


def test_the_kind_of_fork_that_was_seen_is_in_the_record_until_it_is_taken_back(
    book: CaseBook, bikes: BikeBook, offroad_assessor: Assessor
) -> None:
    bikes.add("Demo", [FactsEntry(traits={"fork": "air"})])
    on = bikes.read("Demo").machine
    seen = Answered("air-fork-kind", "air-two-leg")
    diagnosis = begun(book, offroad_assessor, "Demo", seen, machine=on)
    assert bikes.read("Demo").traits == {"fork": "air-two-leg"}
    taken_back(diagnosis)
    assert bikes.read("Demo").traits == {"fork": "air"}


def test_a_bike_that_was_renamed_meanwhile_is_told(
    book: CaseBook, bikes: BikeBook, offroad_assessor: Assessor
) -> None:
    bikes.add("Demo", [])
    diagnosis = begun(book, offroad_assessor, "Demo", Noted("x"))
    bikes.rename("Demo", "Other")
    diagnosis.add(looked_up(14))
    diagnosis.commit()
    assert bikes.read("Other").targets[SPEC].quantity == Quantity(14, "psi")
