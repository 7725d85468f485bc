"""A clock that was put back, or ran ahead: nothing fails, nothing has a negative age, and what was
said stays in the order it was said in."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta, timezone
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.advice.assessor import Assessor
from diagnose.case.events import Answered, Case, Complained, Corrected, Event, Noted, Rode
from diagnose.records.bikes.before_ride import before_ride
from diagnose.records.bikes.bike import fold_bike
from diagnose.records.bikes.bike_book import BikeBook
from diagnose.records.bikes.bike_journal import BikeEntry, RideEntry, ServiceEntry, SettingEntry
from diagnose.records.bikes.service import clock_states
from diagnose.records.cases.case_book import CaseBook
from diagnose.records.cases.case_lists import CaseFilter, list_cases
from diagnose.records.cases.closing import close, weigh_closing
from diagnose.records.cases.known import assumptions
from diagnose.records.learning.learned import learn_in_use
from diagnose.records.store.entry_lines import Amount
from diagnose.records.store.opening import open_memory, open_store
from diagnose.records.store.place import at_path
from diagnose.records.store.store_problems import DamagedStore
from diagnose.records.store.times import read_moment, written
from diagnose.training.records.store_check import check_everything
from diagnose.words.chances import ago
from rules.rulebase import RuleBase

pytestmark = pytest.mark.faults

YEARS = (2026, 1970, 2100, 2025, 2038, 1999)
SAID: tuple[Event, ...] = (
    Answered("tank-look", "stale"), Noted("first"), Corrected("fill-up"), Rode("gone"), Noted("last"),
)  # fmt: skip
DAYS = st.dates(date(1970, 1, 1), date(2101, 1, 1))


class Jumping:
    """A clock that stands in another year whenever it is looked at."""

    def __init__(self) -> None:
        self.looked = 0

    def __call__(self) -> datetime:
        self.looked += 1
        return datetime(YEARS[self.looked % len(YEARS)], 2, 28, 23, 59, 59, tzinfo=UTC)


def test_a_case_stays_in_the_order_it_was_told_in(tmp_path: Path, mower_assessor: Assessor) -> None:
    place = at_path(tmp_path / "store.sqlite")
    book = CaseBook(open_store(place, Jumping(), create=True), mower_assessor.rules)
    kept = book.begin(Case(events=(Complained("no-start"),)))
    for event in SAID:
        kept = book.record(kept, kept.case.with_event(event))
    assert book.read(1).case.events[1:] == SAID
    kept = book.read(1)
    close(book, mower_assessor, kept, weigh_closing(book.rules, kept, cause="no-fuel"))
    book.begin(Case(events=(Complained("vibration", "deck"),)))
    book.store.close()
    again = open_store(place, Jumping())
    assert CaseBook(again, mower_assessor.rules).read(1).case.events[1:] == SAID
    assert {row.id for row in list_cases(again, CaseFilter()).rows} == {1, 2}
    assert check_everything(again, mower_assessor.rules)["cases"] == 2
    learn_in_use(mower_assessor.rules, again)
    again.close()


def test_a_bike_is_written_down_by_a_jumping_clock(clock_pack: RuleBase) -> None:
    book = BikeBook(open_memory(Jumping()))
    book.add("Demo", [])
    for number in range(8):
        book.append("Demo", [RideEntry(on=date(YEARS[number % 6], 2, 28), hours=2)])
    bike = book.read("Demo")
    assert bike.total_hours == 16
    assert [ride.total for ride in bike.rides] == sorted(ride.total for ride in bike.rides)


ENTRIES: st.SearchStrategy[BikeEntry] = st.one_of(
    st.builds(RideEntry, on=DAYS, hours=st.floats(0.1, 48)),
    st.builds(RideEntry, on=DAYS, meter=st.floats(0, 1e5), new_meter=st.booleans()),
    st.builds(ServiceEntry, on=DAYS, clock=st.sampled_from(["hours-blade", "months-belt"])),
    st.builds(
        SettingEntry,
        on=DAYS,
        observation=st.just("plug-gap-reading"),
        reading=st.just(Amount(value=0.7, unit="mm")),
    ),
)


@given(st.lists(ENTRIES, max_size=8), DAYS)
def test_nothing_on_record_is_younger_than_today(
    clock_pack: RuleBase, entries: list[BikeEntry], today: date
) -> None:
    bike = fold_bike("Demo", entries)
    assert all(ride.hours >= 0 for ride in bike.rides)
    for state in clock_states(clock_pack, bike, today):
        assert state.since is None or state.since.value >= 0
        assert state.left is None or state.left.value <= state.interval.value
        assert state.due_on is None or state.due_on >= today
    for item in assumptions(clock_pack, bike, today):
        assert item.answer.reading is None or item.answer.reading.value >= 0
        assert item.days >= 0
        assert date.fromisoformat(item.assumed.on) <= today
    assert all("-" not in check.why for check in before_ride(clock_pack, bike, today))


def test_what_is_dated_after_today_is_no_evidence(clock_pack: RuleBase) -> None:
    """An interview under a clock put back would take a belt of minus 56 years for granted."""
    bike = fold_bike(
        "Demo",
        [
            ServiceEntry(clock="months-belt", on=date(2026, 5, 1)),
            SettingEntry(
                observation="plug-gap-reading",
                reading=Amount(value=0.7, unit="mm"),
                on=date(2026, 5, 1),
            ),
        ],
    )
    assert len(assumptions(clock_pack, bike, date(2026, 5, 2))) == 2
    assert assumptions(clock_pack, bike, date(1970, 1, 1)) == []


@given(st.integers(-40_000, 40_000))
def test_an_age_in_words_is_never_negative(days: int) -> None:
    assert "-" not in ago(days)


@given(st.datetimes(datetime(1970, 1, 1), datetime(2200, 1, 1)), st.integers(-14 * 60, 14 * 60))
def test_moments_are_kept_in_order_from_any_time_zone(moment: datetime, minutes: int) -> None:
    utc = moment.replace(tzinfo=UTC)
    there = utc.astimezone(timezone(timedelta(minutes=minutes)))
    assert read_moment(written(there)) == utc
    assert written(there) < written(utc + timedelta(microseconds=1))


@pytest.mark.parametrize("text", ["0001-01-01T00:00:00.000000Z", "9999-12-31T23:59:59.999999Z"])
def test_moments_that_some_time_zones_do_not_have_are_damage(text: str) -> None:
    with pytest.raises(DamagedStore, match="where a moment belongs"):
        read_moment(text)
