"""Bikes: hours, baselines, figures, files."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.records.bikes.against_baseline import differences
from diagnose.records.bikes.bike import Bike, fold_bike
from diagnose.records.bikes.bike_book import BikeBook
from diagnose.records.bikes.bike_file import read_bike, write_bike
from diagnose.records.bikes.bike_input import (
    MeterRunsBack,
    read_facts,
    read_figure,
    read_ride,
    read_service,
    read_setting,
)
from diagnose.records.bikes.bike_journal import (
    BikeEntry,
    RideEntry,
    ServiceEntry,
    SettingEntry,
    StruckEntry,
)
from diagnose.records.store.entry_lines import Amount
from diagnose.records.store.store_problems import Clash, NotFound
from rules.problems import BadInput
from rules.rulebase import RuleBase
from rules.units.quantities import Quantity

DAY = date(2026, 5, 1)


def on(day: int) -> date:
    return date(2026, 5, day)


def hours(*entries: BikeEntry) -> list[float]:
    return [ride.total for ride in fold_bike("x", entries).rides]


def test_hours_add_up_in_the_order_of_their_days() -> None:
    assert hours(RideEntry(on=on(2), hours=2), RideEntry(on=on(1), hours=1.5)) == [1.5, 3.5]


def test_a_meter_counts_what_was_not_logged_as_hours() -> None:
    rides = (
        RideEntry(on=on(1), meter=40),
        RideEntry(on=on(2), hours=2),
        RideEntry(on=on(3), meter=43),
    )
    assert hours(*rides) == [40, 42, 43]
    assert [ride.hours for ride in fold_bike("x", rides).rides] == [0, 2, 1]


def test_a_first_meter_reading_never_lowers_the_total_and_a_new_meter_goes_on() -> None:
    assert hours(RideEntry(on=on(1), hours=50), RideEntry(on=on(2), meter=40)) == [50, 50]
    fresh = (
        RideEntry(on=on(1), meter=40),
        RideEntry(on=on(2), meter=0, new_meter=True),
        RideEntry(on=on(3), meter=4),
    )
    assert hours(*fresh) == [40, 40, 44]


def test_a_service_counts_from_the_total_of_its_day_and_a_struck_entry_never_was() -> None:
    log: list[BikeEntry] = [
        RideEntry(on=on(1), hours=5),
        ServiceEntry(clock="c", on=on(2)),
        RideEntry(on=on(3), hours=3),
    ]
    assert fold_bike("x", log).latest_services()["c"].total == 5
    assert fold_bike("x", [*log, StruckEntry(seq=1)]).latest_services()["c"].total == 0
    assert fold_bike("x", [*log, StruckEntry(seq=2)]).services == ()


def setting(day: int, value: float, *, baseline: bool = False) -> SettingEntry:
    return SettingEntry(
        observation="plug-gap-reading",
        reading=Amount(value=value, unit="mm"),
        on=on(day),
        baseline=baseline,
    )


def test_the_baseline_is_the_one_marked_last(mower: RuleBase) -> None:
    marked = (setting(1, 0.7, baseline=True), setting(2, 0.8, baseline=True), setting(3, 0.9))
    bike = fold_bike("x", marked)
    assert bike.baseline["plug-gap-reading"].answer.reading == Quantity(0.8, "mm")
    assert bike.now["plug-gap-reading"].answer.reading == Quantity(0.9, "mm")
    (row,) = differences(mower, bike)
    assert row.baseline == bike.baseline["plug-gap-reading"]
    assert (row.target, row.is_own) == (Quantity(0.6, "mm"), False)


def test_what_nobody_marked_is_no_baseline(mower: RuleBase) -> None:
    bike = fold_bike("x", [setting(1, 0.7), setting(3, 0.9)])
    assert "plug-gap-reading" not in bike.baseline
    assert not any(noted.is_baseline for noted in bike.settings)
    assert "baseline" not in write_bike(bike)
    (row,) = differences(mower, bike)
    assert row.baseline is None


def test_bikes_are_added_changed_archived_and_renamed(bikes: BikeBook, mower: RuleBase) -> None:
    bikes.add("  Old   mower ", [read_facts(mower, ["size=large"], "lawn")])
    with pytest.raises(BadInput, match="already"):
        bikes.add("OLD MOWER", [])
    assert bikes.read("old mower").traits == {"size": "large"}
    bikes.append("Old mower", [read_facts(mower, ["engine=electric"], None)])
    bike = bikes.read("Old mower")
    assert (bike.traits, bike.use) == ({"size": "large", "engine": "electric"}, "lawn")
    bikes.rename("Old mower", "New")
    bikes.archive("new")
    assert bikes.rows() == []
    assert [row.name for row in bikes.rows(archived=True)] == ["New"]
    assert not bikes.archive("New", False).archived
    with pytest.raises(NotFound, match="did you mean 'New'"):
        bikes.read("Nex")


@pytest.mark.parametrize("name", ["", "   ", "x" * 61, "a\x00b", "a\x1b[31m"])
def test_a_bad_name_is_refused(bikes: BikeBook, name: str) -> None:
    with pytest.raises(BadInput):
        bikes.add(name, [])


def test_a_change_to_a_version_that_is_no_longer_the_last_clashes(bikes: BikeBook) -> None:
    bikes.add("Demo", [])
    bikes.append("Demo", [RideEntry(on=DAY, hours=1)], seen=0)
    with pytest.raises(Clash, match="another terminal has changed Demo"):
        bikes.append("Demo", [RideEntry(on=DAY, hours=2)], seen=0)
    assert bikes.read("Demo").total_hours == 1


@pytest.mark.parametrize(
    ("read", "message"),
    [
        (lambda m: read_facts(m, ["sizelarge"], None), "not NAME=VALUE, such as engine=petrol"),
        (lambda m: read_facts(m, ["size=huge"], None), "not one of small, large"),
        (lambda m: read_figure(m, "plug-gap=0.7 mm", None, DAY), "say where plug-gap was read"),
        (lambda m: read_figure(m, "plug-gap=7 psi", "x", DAY), "give a length"),
        (lambda m: read_figure(m, "plug-gip=7 mm", "x", DAY), "did you mean 'plug-gap'"),
        (lambda m: read_setting(m, "plug-gap-reading=9 mm", DAY), "a reading lies between"),
        (lambda m: read_setting(m, "plug-gap-reading=?", DAY), "says nothing"),
        (
            lambda m: read_ride(Bike("x"), None, None, DAY, new_meter=False, why=""),
            "either the hours",
        ),
        (
            lambda m: read_ride(Bike("x"), "3", "4", DAY, new_meter=False, why=""),
            "either the hours",
        ),
        (lambda m: read_ride(Bike("x"), "-3", None, DAY, new_meter=False, why=""), "more than 0"),
        (
            lambda m: read_ride(Bike("x"), "1e9", None, DAY, new_meter=False, why=""),
            "unit 'e9' is not known",
        ),
        (
            lambda m: read_ride(Bike("x"), "300 psi", None, DAY, new_meter=False, why=""),
            "give a time",
        ),
        (lambda m: read_service(m, "oil", DAY, ""), "no service clock"),
        (
            lambda m: read_ride(Bike("x"), "3", None, DAY, new_meter=False, why="x" * 501),
            "500 letters",
        ),
    ],
)
def test_bad_input_says_what_would_do(read: object, message: str, mower: RuleBase) -> None:
    with pytest.raises(BadInput) as caught:
        read(mower)  # type: ignore[operator]
    assert message in str(caught.value)


def test_a_meter_that_runs_backwards_is_refused(mower: RuleBase) -> None:
    bike = fold_bike("x", [RideEntry(on=DAY, meter=40)])
    with pytest.raises(MeterRunsBack, match="39 h is less than the 40 h of 2026-05-01"):
        read_ride(bike, None, "39", DAY, new_meter=False, why="")
    assert read_ride(bike, None, "2 h", DAY, new_meter=True, why="").meter == 2
    before = DAY - timedelta(days=3)
    with pytest.raises(BadInput, match="1500 h is more than the 40 h of 2026-05-01"):
        read_ride(bike, None, "1500", before, new_meter=False, why="")
    assert read_ride(bike, None, "39", before, new_meter=False, why="").meter == 39


def ride(bike: Bike, hours: str, day: date = DAY) -> RideEntry:
    return read_ride(bike, hours, None, day, new_meter=False, why="")


def test_a_day_has_no_more_than_24_hours() -> None:
    fresh = Bike("x")
    with pytest.raises(BadInput, match="'38 h': a ride has more than 0 and at most 24 hours"):
        ride(fresh, "38 h")
    ridden = fold_bike("x", [ride(fresh, "10"), ride(fresh, "8")])
    with pytest.raises(BadInput, match=r"18 h are logged for 2026-05-01 already.*24 hours"):
        ride(ridden, "6.1")
    assert ride(ridden, "6").hours == 6
    assert ride(ridden, "20", DAY - timedelta(days=1)).hours == 20


def test_a_meter_runs_no_faster_than_the_clock() -> None:
    bike = fold_bike("x", [RideEntry(on=DAY, meter=40)])

    def read(meter: str, day: date, *, new_meter: bool = False) -> float | None:
        return read_ride(bike, None, meter, day, new_meter=new_meter, why="").meter

    with pytest.raises(BadInput, match="78 h is 38 h more than on 2026-05-01"):
        read("78", DAY)
    with pytest.raises(BadInput, match="at most 48 h"):
        read("88.5", DAY + timedelta(days=1))
    assert read("78", DAY + timedelta(days=1)) == 78
    assert read("78", DAY, new_meter=True) == 78


def test_what_the_meter_says_of_a_week_is_no_ride_of_one_day() -> None:
    week = [RideEntry(on=DAY, meter=40), RideEntry(on=DAY + timedelta(days=7), meter=62)]
    assert ride(fold_bike("x", week), "5", DAY + timedelta(days=7)).hours == 5


entries: st.SearchStrategy[BikeEntry] = st.one_of(
    st.builds(
        RideEntry,
        on=st.dates(date(2026, 1, 1), DAY),
        hours=st.floats(0.1, 24).map(lambda h: round(h, 2)),
        note=st.sampled_from(["", "sand: deep", "'quoted' # x"]),
    ),
    st.builds(
        setting,
        st.integers(1, 28),
        st.floats(0.1, 4).map(lambda v: round(v, 3)),
        baseline=st.booleans(),
    ),
    st.builds(ServiceEntry, clock=st.just("hours-blade"), on=st.dates(date(2026, 1, 1), DAY)),
)


@given(log=st.lists(entries, max_size=12))
def test_a_bike_file_reads_back_to_the_same_bike(
    log: list[BikeEntry], clock_pack: RuleBase, tmp_path_factory: pytest.TempPathFactory
) -> None:
    facts: list[BikeEntry] = [
        read_facts(clock_pack, ["size=large"], 'lawn: "wet" & wild'),
        read_figure(clock_pack, "plug-gap=0.75 mm", "leaflet, page 3", DAY),
    ]
    bike = fold_bike("Größe 1", [*facts, *log])
    path = tmp_path_factory.mktemp("bike") / "bike.yaml"
    path.write_text(write_bike(bike), encoding="utf-8")
    name, read = read_bike(clock_pack, path, date(2026, 6, 1))
    again = fold_bike(name, read)
    assert write_bike(again) == write_bike(bike)
    assert (again.total_hours, again.traits, again.targets) == (
        bike.total_hours,
        bike.traits,
        bike.targets,
    )
    assert {k: s.answer for k, s in again.now.items()} == {k: s.answer for k, s in bike.now.items()}
    assert {k: s.answer for k, s in again.baseline.items()} == {
        k: s.answer for k, s in bike.baseline.items()
    }
    assert {c: s.total for c, s in again.latest_services().items()} == {
        c: s.total for c, s in bike.latest_services().items()
    }


def test_a_bad_bike_file_names_every_line(mower: RuleBase, tmp_path: Path) -> None:
    path = tmp_path / "bike.yaml"
    path.write_text(
        "bike: 1\nname: Demo\nmachine: {size: huge}\nlog:\n  - {date: 2026-05-01, ride: 900 h}\n"
        "  - {date: 2027-01-01, ride: 2}\n  - {date: soon, setting: plug-gap-reading, value: 0.7}\n",
        encoding="utf-8",
    )
    with pytest.raises(BadInput) as caught:
        read_bike(mower, path, date(2026, 6, 1))
    told = str(caught.value).splitlines()
    assert [line.split(":")[1] for line in told] == ["3", "5", "6", "7"]
    assert "has not come yet" in told[2]
