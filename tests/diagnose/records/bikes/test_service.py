"""Service clocks, forecasts, what a case starts from, the list before a ride."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

import pytest

from diagnose.case.events import Answered
from diagnose.records.bikes.before_ride import before_ride, list_source
from diagnose.records.bikes.bike import Bike, fold_bike
from diagnose.records.bikes.bike_journal import (
    BikeEntry,
    FactsEntry,
    RideEntry,
    ServiceEntry,
    SettingEntry,
    TargetEntry,
)
from diagnose.records.bikes.service import (
    ClockState,
    clock_named,
    clock_states,
    clocks,
    riding_rate,
)
from diagnose.records.cases.known import assumptions, starting_case
from diagnose.records.store.entry_lines import Amount
from diagnose.words.bike_words import due_text
from rules.problems import BadInput
from rules.rulebase import RuleBase
from rules.units.quantities import Quantity

TODAY = date(2026, 6, 1)


def ago(days: int) -> date:
    return TODAY - timedelta(days=days)


def ridden(*days: int, hours: float = 4) -> list[BikeEntry]:
    return [RideEntry(on=ago(day), hours=hours) for day in sorted(days, reverse=True)]


def bike(*entries: BikeEntry | Sequence[BikeEntry]) -> Bike:
    flat: list[BikeEntry] = []
    for entry in entries:
        flat += entry if isinstance(entry, Sequence) else [entry]
    return fold_bike("Demo", flat)


def test_clocks_are_found_in_the_rule_base(
    clock_pack: RuleBase, mower: RuleBase, offroad: RuleBase
) -> None:
    assert clocks(mower) == ()
    assert clocks(clock_pack) == ("hours-blade", "months-belt")
    assert "hours-fork-service" in clocks(offroad)


def test_without_a_service_on_record_it_is_due_since_unknown(
    clock_pack: RuleBase, offroad: RuleBase
) -> None:
    def state(found: Bike, clock: str = "hours-blade") -> ClockState:
        return next(s for s in clock_states(clock_pack, found, TODAY) if s.clock == clock)

    # 20 h between services of the blade, 14 months between belts
    few, many = bike(ridden(30, hours=19)), bike(ridden(40, 30, hours=10))
    assert not state(few).is_unknown
    assert state(many).is_unknown
    assert state(many).overdue
    assert (state(many).at_least, state(many).due_on) == (Quantity(20, "h"), TODAY)
    assert "DUE since unknown: 20 h on record and no service" in due_text(clock_pack, state(many))
    serviced = ServiceEntry(clock="hours-blade", on=ago(20))
    assert not state(bike(ridden(40, 30, hours=10), serviced)).overdue
    # by the calendar since the bike is on record
    assert not state(bike(ridden(400)), "months-belt").is_unknown
    assert state(bike(ridden(440)), "months-belt").is_unknown
    # what can be said comes before what cannot
    first, *_, last = clock_states(offroad, bike(ridden(*range(20), hours=3)), TODAY)
    assert first.is_unknown
    assert not last.overdue


@pytest.mark.parametrize(
    ("said", "clock"),
    [
        ("fork oil", "hours-fork-service"),
        ("Fork-Oil", "hours-fork-service"),
        ("fork", "hours-fork-service"),
        ("shock service", "hours-shock-service"),
        ("hours-fork-service", "hours-fork-service"),
        ("chain", "hours-since-chain-care"),
        ("spokes", "hours-since-spokes"),
        ("brake fluid", "months-since-brake-fluid"),
        ("head bearings", "hours-since-head-bearings"),
        ("wheel bearings", "hours-since-wheel-bearings"),
        ("rear tyre", "rear-tyre-age"),
        ("linkage", "hours-since-linkage-greased"),
        ("bearings", "can be 'linkage' or 'wheel bearings' or 'steering bearings'; say which"),
        ("oil", "'fork oil' or 'shock oil'"),
        ("chian", "did you mean 'chain'"),
        ("", "is no service clock"),
    ],
)
def test_a_clock_is_named_as_people_say(offroad: RuleBase, said: str, clock: str) -> None:
    if clock in clocks(offroad):
        assert clock_named(offroad, said) == clock
        return
    with pytest.raises(BadInput, match=clock):
        clock_named(offroad, said)


def test_the_due_date_follows_the_riding_rate(clock_pack: RuleBase) -> None:
    # 4 h a week for four weeks; serviced before the last three rides; 20 h between services
    found = bike(ridden(28, 21, 14, 7), ServiceEntry(clock="hours-blade", on=ago(25)))
    assert riding_rate(found, TODAY) == pytest.approx(16 / 28)
    (state,) = [s for s in clock_states(clock_pack, found, TODAY) if s.clock == "hours-blade"]
    assert (state.since, state.left) == (Quantity(12, "h"), Quantity(8, "h"))
    assert state.due_on == TODAY + timedelta(days=14)
    assert not state.is_own
    assert not state.overdue


def test_the_manuals_interval_goes_first_in_any_unit(clock_pack: RuleBase) -> None:
    manual = TargetEntry(
        spec="blade-interval", figure=Amount(value=600, unit="min"), read_in="leaflet", on=TODAY
    )
    found = bike(ridden(20, 10), manual, ServiceEntry(clock="hours-blade", on=ago(40)))
    state = next(s for s in clock_states(clock_pack, found, TODAY) if s.clock == "hours-blade")
    assert (state.interval, state.rank) == (Quantity(10, "h"), "manual")
    assert state.left == Quantity(2, "h")


def test_overdue_is_due_today(clock_pack: RuleBase) -> None:
    found = bike(ridden(20, 19, 18, 17, 16), ServiceEntry(clock="hours-blade", on=ago(30)))
    state = clock_states(clock_pack, found, TODAY)[0]
    assert (state.overdue, state.due_on) == (True, TODAY)


def test_a_calendar_clock_needs_no_rides(clock_pack: RuleBase) -> None:
    found = bike(ServiceEntry(clock="months-belt", on=ago(61)))
    state = next(s for s in clock_states(clock_pack, found, TODAY) if s.clock == "months-belt")
    assert state.since is not None
    assert round(state.since.value, 1) == 2.0
    assert state.due_on == ago(61) + timedelta(days=426)  # 14 months


def test_without_a_record_or_rides_no_date_is_made_up(clock_pack: RuleBase) -> None:
    assert [(s.since, s.due_on) for s in clock_states(clock_pack, bike(), TODAY)] == [
        (None, None)
    ] * 2
    one = bike(ridden(3), ServiceEntry(clock="hours-blade", on=ago(10)))
    assert riding_rate(one, TODAY) is None
    assert clock_states(clock_pack, one, TODAY)[0].due_on is None


def test_the_rides_of_a_single_day_make_no_forecast(clock_pack: RuleBase) -> None:
    service = ServiceEntry(clock="hours-blade", on=ago(10))
    one_day = bike(ridden(3, 3, 3), service)
    assert riding_rate(one_day, TODAY) is None
    assert clock_states(clock_pack, one_day, TODAY)[0].due_on is None
    assert riding_rate(bike(ridden(4, 3, 3), service), TODAY) is not None


def test_a_clock_the_machine_does_not_have_is_left_out(clock_pack: RuleBase) -> None:
    electric = bike(FactsEntry(traits={"engine": "electric"}))
    assert [s.clock for s in clock_states(clock_pack, electric, TODAY)] == ["hours-blade"]


def test_a_case_starts_from_clocks_and_settings_with_their_age(clock_pack: RuleBase) -> None:
    def gap(day: int) -> SettingEntry:
        return SettingEntry(
            observation="plug-gap-reading", reading=Amount(value=0.7, unit="mm"), on=ago(day)
        )

    def lever(day: int) -> SettingEntry:
        return SettingEntry(
            observation="lever-clicks", reading=Amount(value=4, unit="clicks"), on=ago(day)
        )

    def tyre(day: int) -> SettingEntry:
        return SettingEntry(
            observation="tyre-gauge", reading=Amount(value=14, unit="psi"), on=ago(day)
        )

    found = bike(
        FactsEntry(traits={"size": "large"}),
        ridden(9, 5),
        ServiceEntry(clock="hours-blade", on=ago(20)),
        gap(12),
        lever(200),
        tyre(1),
    )
    known = assumptions(clock_pack, found, TODAY)
    assert [(k.answer, k.days) for k in known] == [
        (Answered("hours-blade", reading=Quantity(8, "h")), 5),
        (Answered("lever-clicks-noted", reading=Quantity(4, "clicks")), 200),
        (Answered("plug-gap-reading", reading=Quantity(0.7, "mm")), 12),
    ]
    assert known[0].assumed.rests_on == f"service of {ago(20)}, rides logged to {ago(5)}"
    case = starting_case(clock_pack, found, known[:1])
    assert case.machine == {"size": "large"}
    assert case.events == (known[0].answer,)
    old = bike(gap(31))
    assert assumptions(clock_pack, old, TODAY) == []


def test_a_pressure_is_known_on_the_day_it_was_noted(clock_pack: RuleBase) -> None:
    def tyre(day: int, *, baseline: bool = False) -> SettingEntry:
        return SettingEntry(
            observation="tyre-gauge",
            reading=Amount(value=0.8, unit="bar"),
            on=ago(day),
            baseline=baseline,
        )

    (known,) = assumptions(clock_pack, bike(tyre(0), ridden(0)), TODAY)
    assert known.answer == Answered("tyre-gauge", reading=Quantity(0.8, "bar"))
    assert (known.days, known.assumed.on) == (0, TODAY.isoformat())
    assert known.assumed.rests_on == f"changes by itself, noted {TODAY.isoformat()}"
    assert assumptions(clock_pack, bike(tyre(1)), TODAY) == []
    # how it should stand says nothing of how it stands
    assert assumptions(clock_pack, bike(tyre(0, baseline=True)), TODAY) == []
    assert assumptions(clock_pack, bike(tyre(0)), TODAY - timedelta(days=1)) == []


def test_each_rule_base_has_its_own_list(offroad: RuleBase, mower: RuleBase) -> None:
    checks = before_ride(offroad, bike(), TODAY)
    assert len(checks) >= 10
    assert all(check.due for check in checks)
    assert [c.title for c in before_ride(mower, bike(), TODAY)] == [
        "Fresh fuel in the tank",
        "Plug gap",
    ]
    assert list_source(mower) == ("made-up",)


def test_a_check_that_the_machine_does_not_need_is_left_out(
    offroad: RuleBase, mower: RuleBase
) -> None:
    electric = bike(FactsEntry(traits={"engine": "electric"}))
    assert [c.title for c in before_ride(mower, electric, TODAY)] == []
    air = bike(FactsEntry(traits={"fork": "air"}))
    by_need = [{c.note for c in before_ride(offroad, found, TODAY)} for found in (air, bike())]
    assert by_need[0] - by_need[1] == {"air-fork-main-measured"}


def test_a_check_brings_its_own_cautions_and_those_of_its_correction(
    offroad: RuleBase, mower: RuleBase
) -> None:
    assert before_ride(mower, bike(), TODAY)[1].cautions == ("plug-lead",)
    bleed = next(c for c in before_ride(offroad, bike(), TODAY) if c.correction == "bleed-forks")
    assert set(bleed.cautions) >= set(offroad.corrections["bleed-forks"].cautions) > set()


def test_a_ride_logged_after_the_note_counts_even_on_the_same_day(mower: RuleBase) -> None:
    gap = SettingEntry(
        observation="plug-gap-reading", reading=Amount(value=0.6, unit="mm"), on=TODAY
    )
    before = next(
        c
        for c in before_ride(mower, bike(ridden(0, hours=10), gap), TODAY)
        if c.note == "plug-gap-reading"
    )
    after = next(
        c
        for c in before_ride(mower, bike(gap, ridden(0, hours=10)), TODAY)
        if c.note == "plug-gap-reading"
    )
    assert (before.due, after.due) == (False, True)


def test_what_was_noted_lately_is_not_due(offroad: RuleBase) -> None:
    sag = SettingEntry(
        observation="rear-race-sag-measured", reading=Amount(value=100, unit="mm"), on=ago(9)
    )
    by_title = {c.title: c for c in before_ride(offroad, bike(sag, ridden(3)), TODAY)}
    assert not by_title["Rear sag with the rider on"].due
    long_ago = before_ride(offroad, bike(sag, ridden(6, 5, 3)), TODAY)
    assert {c.title: c for c in long_ago}["Rear sag with the rider on"].due
