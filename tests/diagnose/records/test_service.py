"""Service clocks, forecasts, what a case starts from, the list before a ride."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

import pytest

from diagnose.case import Answered
from diagnose.records.before_ride import before_ride
from diagnose.records.bike_journal import (
    BikeEntry,
    FactsEntry,
    RideEntry,
    ServiceEntry,
    SettingEntry,
    TargetEntry,
)
from diagnose.records.bikes import Bike, fold_bike
from diagnose.records.entries import Amount
from diagnose.records.known import assumptions, starting_case
from diagnose.records.service import clock_states, clocks, riding_rate
from rules.quantities import Quantity
from rules.rulebase import RuleBase

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


def test_the_due_date_follows_the_riding_rate(clock_pack: RuleBase) -> None:
    # 4 h a week for four weeks; serviced before the last three rides; 20 h between services
    found = bike(ridden(28, 21, 14, 7), ServiceEntry(clock="hours-blade", on=ago(25)))
    assert riding_rate(found, TODAY) == pytest.approx(16 / 28)
    (state,) = [s for s in clock_states(clock_pack, found, TODAY) if s.clock == "hours-blade"]
    assert (state.since, state.left) == (Quantity(12, "h"), Quantity(8, "h"))
    assert state.due_on == TODAY + timedelta(days=14)
    assert state.rule_of_thumb
    assert not state.overdue


def test_the_manuals_interval_goes_first_in_any_unit(clock_pack: RuleBase) -> None:
    manual = TargetEntry(
        spec="blade-interval", figure=Amount(value=600, unit="min"), read_in="leaflet", on=TODAY
    )
    found = bike(ridden(20, 10), manual, ServiceEntry(clock="hours-blade", on=ago(40)))
    state = next(s for s in clock_states(clock_pack, found, TODAY) if s.clock == "hours-blade")
    assert (state.interval, state.rule_of_thumb) == (Quantity(10, "h"), False)
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


def test_the_shipped_list_fits_the_shipped_pack(offroad: RuleBase, mower: RuleBase) -> None:
    checks = before_ride(offroad, bike(), TODAY)
    assert len(checks) >= 10
    assert all(check.due for check in checks)
    assert any(check.correction in offroad.corrections for check in checks if check.correction)
    assert [c for c in checks if c.correction and c.correction not in offroad.corrections] == []
    assert before_ride(mower, bike(), TODAY) == []


def test_what_was_noted_lately_is_not_due(offroad: RuleBase) -> None:
    sag = SettingEntry(
        observation="rear-race-sag-measured", reading=Amount(value=100, unit="mm"), on=ago(9)
    )
    by_title = {c.title: c for c in before_ride(offroad, bike(sag, ridden(3)), TODAY)}
    assert not by_title["Rear sag with the rider on"].due
    long_ago = before_ride(offroad, bike(sag, ridden(6, 5, 3)), TODAY)
    assert {c.title: c for c in long_ago}["Rear sag with the rider on"].due
