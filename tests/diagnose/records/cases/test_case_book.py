"""Cases in the store, two terminals on one case, lists and searches."""

from __future__ import annotations

import pytest
from sqlalchemy import update

from diagnose.advice.assessor import Assessor
from diagnose.case.events import Answered, Case, Complained, Corrected, Declined, Noted, Rode
from diagnose.diagnosis import Diagnosis
from diagnose.records.bikes.bike_book import BikeBook
from diagnose.records.cases.case_book import CaseBook
from diagnose.records.cases.case_lists import (
    CaseFilter,
    list_cases,
    proven_causes,
    similar_cases,
)
from diagnose.records.cases.closing import close, weigh_closing
from diagnose.records.cases.entries import Assumed, Closed, Details
from diagnose.records.cases.fitting import fitted, unknown_to
from diagnose.records.cases.keeping import CaseKeeping
from diagnose.records.store.store import Store
from diagnose.records.store.store_problems import Clash, DamagedStore, NotFound, StoreProblem
from diagnose.records.store.tables import CASE_ENTRIES
from diagnose.training.records.store_check import check_everything
from rules.rulebase import RuleBase

DEAD = Case({"size": "large"}, {}, (Complained("no-start"),))


def test_a_case_is_read_back_as_it_was_kept(book: CaseBook, bikes: BikeBook) -> None:
    bikes.add("Demo", [])
    case = DEAD.with_event(Answered("tank-look", "stale")).with_event(Noted("ümlaut ' \" % ; --"))
    kept = book.begin(case, "demo", [Assumed(rests_on="the log", on="2026-05-01")])
    read = book.read(kept.id)
    assert (read.case, read.bike, read.version) == (case, "Demo", 4)
    assert [said.assumed is not None for said in read.folded.said] == [False, False, False]
    assert read.folded.said[1].assumed is None


def test_an_assumption_is_kept_with_what_it_rests_on(book: CaseBook) -> None:
    case = Case(events=(Answered("tank-look", "stale"), Complained("no-start")))
    kept = book.begin(case, None, [Assumed(rests_on="setting of 2026-05-01", on="2026-05-01")])
    said = book.read(kept.id).folded.said
    assert said[0].assumed == Assumed(rests_on="setting of 2026-05-01", on="2026-05-01")
    assert said[1].assumed is None


def test_two_terminals_on_one_case_never_overwrite_each_other(book: CaseBook) -> None:
    mine = theirs = book.begin(DEAD)
    theirs = book.record(theirs, theirs.case.with_event(Noted("theirs")))
    with pytest.raises(Clash, match="another terminal has added to case 1"):
        book.record(mine, mine.case.with_event(Noted("mine")))
    assert book.read(mine.id).case == theirs.case
    again = book.read(mine.id)
    book.record(again, again.case.with_event(Noted("mine")))
    assert [e.text for e in book.read(1).case.events if isinstance(e, Noted)] == ["theirs", "mine"]


def test_what_is_not_there_is_said(book: CaseBook) -> None:
    with pytest.raises(NotFound, match="no case 12"):
        book.read(12)
    with pytest.raises(NotFound, match="no bike 'x'"):
        book.begin(DEAD, "x")


def test_nothing_new_writes_nothing(book: CaseBook) -> None:
    kept = book.begin(DEAD)
    assert book.record(kept, kept.case) is kept


def test_a_damaged_entry_is_named_and_stays_as_it_is(
    book: CaseBook, store: Store, mower: RuleBase
) -> None:
    kept = book.begin(DEAD)
    with store.writing() as connection:
        connection.execute(
            update(CASE_ENTRIES).where(CASE_ENTRIES.c.seq == 2).values(body='{"format')
        )
    with pytest.raises(DamagedStore, match=f"entry 2 of case {kept.id}"):
        book.read(kept.id)
    with pytest.raises(DamagedStore, match="entry 2 of case 1"):
        check_everything(store, mower)


def test_a_case_of_another_rule_base_can_still_be_read_and_gone_on_with(
    book: CaseBook, mower: RuleBase, mower_assessor: Assessor
) -> None:
    odd = Case(
        {"wings": "two"},
        {},
        (
            *DEAD.events,
            Answered("gone-check", "yes"),
            Answered("tank-look", "azure"),
            Declined("gone"),
            Complained("vibration", "wing"),
        ),
    )
    kept = book.begin(odd)
    assert fitted(mower, odd).machine == {}
    assert len(unknown_to(mower, odd)) == 4
    diagnosis = Diagnosis(mower_assessor, keeping=CaseKeeping(book, kept=kept))
    assert diagnosis.assessment.step.kind == "inspect"
    diagnosis.add(Answered("tank-look", "stale"))
    diagnosis.commit()
    read = book.read(kept.id)
    assert read.case.events == (*odd.events, Answered("tank-look", "stale"))
    assert read.case.machine == {"wings": "two"}


def closed(
    book: CaseBook, shop: Assessor, cause: str = "stale-fuel", bike: str | None = None
) -> int:
    kept = book.begin(DEAD, bike)
    kept = book.record(kept, kept.case.with_event(Corrected("fill-up")))
    kept = book.record(kept, kept.case.with_event(Rode("gone")))
    return close(book, shop, kept, weigh_closing(book.rules, kept, cause=cause)).id


def test_a_closed_case_is_not_added_to_until_it_is_opened_again(
    book: CaseBook, mower_assessor: Assessor
) -> None:
    number = closed(book, mower_assessor)
    kept = book.read(number)
    with pytest.raises(StoreProblem, match="closed"):
        book.record(kept, kept.case.with_event(Noted("more")))
    kept = book.reopen(kept)
    kept = book.record(kept, kept.case.with_event(Noted("more")))
    assert book.read(number).folded.closed is None


def test_lists_filter_and_search(
    book: CaseBook, store: Store, bikes: BikeBook, mower_assessor: Assessor
) -> None:
    bikes.add("Green 100%", [])
    proven = closed(book, mower_assessor, bike="Green 100%")
    shaking = book.begin(
        Case(events=(Complained("vibration", "deck"), Noted("since the KERB_stone"))), None
    )

    def ids(**wanted: object) -> list[int]:
        return [row.id for row in list_cases(store, CaseFilter(**wanted)).rows]  # type: ignore[arg-type]

    assert ids() == [shaking.id, proven]
    assert ids(text="kerb_STONE") == ids(text="shakes since") == [shaking.id]
    assert ids(text="kerbXstone") == ids(text="%%") == []
    assert ids(text="100% stale") == [proven]
    assert ids(bike="green 100%") == ids(outcome="proven") == ids(state="closed") == [proven]
    assert ids(complaint="vibration") == ids(complaint="vibration/deck") == [shaking.id]
    assert ids(complaint="vibration/handle") == ids(complaint="no") == []
    assert list_cases(store, CaseFilter(limit=1)).total == 2
    assert ids(text="'; DROP TABLE cases; --") == []


def test_similar_cases_come_proven_first_and_say_what_was_behind_them(
    book: CaseBook, store: Store, mower_assessor: Assessor
) -> None:
    first = closed(book, mower_assessor)
    second = book.begin(DEAD)
    closed(book, mower_assessor, "no-fuel")
    fourth = closed(book, mower_assessor)
    rows = similar_cases(store, ["no-start"], besides=second.id)
    assert rows[0].id == fourth
    assert first in [row.id for row in rows]
    assert second.id not in [row.id for row in rows]
    assert proven_causes(store, ["no-start"]) == [("stale-fuel", 2), ("no-fuel", 1)]
    assert similar_cases(store, []) == []


def test_what_another_pack_said_after_a_change_stays_as_it_is(
    book: CaseBook, mower_assessor: Assessor
) -> None:
    """Opened without the pack, changed and struck before the entries that only it can read."""
    said = (
        Complained("no-start"),
        Answered("tank-look", "stale"),
        Answered("spark-seen", "sparks"),
        Answered("hopper", "full"),
        Corrected("empty-the-hopper"),
    )
    kept = book.begin(Case(events=said))
    diagnosis = Diagnosis(mower_assessor, keeping=CaseKeeping(book, kept=kept))
    assert diagnosis.case.events[3] != said[3]
    fresh = Answered("tank-look", "fresh")
    diagnosis.change(1, fresh)
    diagnosis.commit()
    assert book.read(kept.id).case.events == (said[0], fresh, *said[2:])
    # several changes that are kept at once leave it as it is too
    diagnosis.strike(1)
    diagnosis.add(Noted("more"))
    diagnosis.change(0, Complained("vibration", "deck"))
    diagnosis.commit()
    after = (Complained("vibration", "deck"), *said[2:], Noted("more"))
    assert book.read(kept.id).case.events == after


def test_a_case_is_found_by_what_its_bike_is_called_now(
    book: CaseBook, store: Store, bikes: BikeBook
) -> None:
    bikes.add("Demo 250", [])
    number = book.begin(DEAD, "Demo 250").id
    bikes.rename("Demo 250", "Red one")
    assert [row.id for row in list_cases(store, CaseFilter(text="red")).rows] == [number]
    assert list_cases(store, CaseFilter(text="demo")).total == 0


def test_details_are_filled_in_searched_and_changed_and_are_no_part_of_the_case(
    book: CaseBook,
) -> None:
    """A closed case takes them too; filling in the same again writes nothing."""
    kept = book.begin(Case(events=(Complained("no-start"),)))
    before = kept.case
    kept = book.append(kept, [Closed(outcome="left-as-it-is", why="Nothing was put right.")])
    filled = Details(customer="Demo Rider", time="45 min")
    kept = book.fill_in(kept, filled)
    assert book.fill_in(kept, filled) is kept
    again = book.read(kept.id)
    assert (again.folded.details, again.case) == (filled, before)
    assert list_cases(book.store, CaseFilter(text="demo rider")).total == 1
    book.fill_in(again, Details())
    assert list_cases(book.store, CaseFilter(text="demo rider")).total == 0
