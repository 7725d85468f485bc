"""A bike over time: lines of what was read, marks of what was done."""

from __future__ import annotations

from datetime import date, timedelta

from diagnose.records.bikes.bike import Bike, fold_bike
from diagnose.records.bikes.bike_input import read_ride, read_service, read_setting
from diagnose.records.bikes.bike_journal import BikeEntry
from diagnose.records.cases.season import season_of
from rules.rulebase import RuleBase

TODAY = date(2026, 6, 1)


def ago(days: int) -> date:
    return TODAY - timedelta(days=days)


def test_readings_are_in_one_unit_and_the_time_is_cut_to_what_is_wanted(offroad: RuleBase) -> None:
    entries: list[BikeEntry] = [
        read_setting(offroad, "front-tyre-gauge=1 bar", ago(300), baseline=True),
        read_setting(offroad, "front-tyre-gauge=13 psi", ago(90)),
        read_setting(offroad, "shock-rebound-clicks=9 clicks", ago(30)),
        read_service(offroad, "fork oil", ago(200), "new seals"),
        read_service(offroad, "chain", ago(20), ""),
        *(
            read_ride(Bike(""), "2 h", None, ago(day), new_meter=False, why="")
            for day in (250, 50, 10)
        ),
    ]
    bike = fold_bike("Demo", entries)
    year = season_of(offroad, bike, (), TODAY)
    assert (year.first, year.last) == (ago(300), TODAY)
    hours, tyre, clicks = year.lines
    assert [value for _, value in hours.points] == [2, 4, 6]
    assert tyre.observation == "front-tyre-gauge"
    assert [round(value, 1) for _, value in tyre.points] == [14.5, 13]
    assert tyre.level is not None
    assert round(tyre.level, 1) == 14.5
    assert (clicks.unit, clicks.level) == ("clicks", None)
    assert [(m.on, m.of, m.what) for m in year.marks] == [
        (ago(200), "hours-fork-service", "new seals"),
        (ago(20), "hours-since-chain-care", ""),
    ]
    weeks = season_of(offroad, bike, (), TODAY, days=60)
    assert weeks.first == ago(60)
    assert [len(line.points) for line in weeks.lines] == [2, 1]
    assert [mark.of for mark in weeks.marks] == ["hours-since-chain-care"]


def test_a_bike_with_nothing_on_record_has_an_empty_season(offroad: RuleBase) -> None:
    found = season_of(offroad, Bike("Demo"), (), TODAY)
    assert (found.first, found.lines, found.marks) == (TODAY, (), ())
