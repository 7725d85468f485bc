"""What people write about a bike: what becomes an entry, and what is refused with which words."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest

from diagnose.records.bikes.bike import Bike, fold_bike
from diagnose.records.bikes.bike_input import (
    LONGEST_NOTE,
    MeterRunsBack,
    note,
    pairs,
    read_facts,
    read_figure,
    read_ride,
    read_service,
    read_setting,
)
from diagnose.records.bikes.bike_journal import (
    BikeEntry,
    FactsEntry,
    RideEntry,
    ServiceEntry,
    SettingEntry,
    TargetEntry,
)
from diagnose.records.store.entry_lines import Amount
from rules.problems import BadInput
from rules.rulebase import RuleBase

DAY = date(2026, 5, 10)


def on(day: int) -> date:
    return date(2026, 5, day)


def refused(work: Callable[[], object], kind: type[BadInput] = BadInput) -> str:
    with pytest.raises(kind) as caught:
        work()
    return str(caught.value)


def ridden(*entries: BikeEntry) -> Bike:
    return fold_bike("Demo", entries)


def ride(
    bike: Bike,
    hours: str | None = None,
    meter: str | None = None,
    day: int = 10,
    *,
    new: bool = False,
) -> RideEntry:
    return read_ride(bike, hours, meter, on(day), new_meter=new, why="")


def test_pairs_are_a_name_and_a_value() -> None:
    assert pairs(["a=b", " c = d=e "], "x=y") == [("a", "b"), ("c", "d=e")]
    for text in ("a", "=b", "a=", " =b", "a= "):
        assert refused(lambda text=text: pairs([text], "x=y")) == (  # type: ignore[misc]
            f"{text!r} is not NAME=VALUE, such as x=y"
        )


def test_facts_are_traits_and_a_use(mower: RuleBase) -> None:
    read = read_facts(mower, ["engine=electric", "size=large"], "  steep\n lawn ")
    assert read == FactsEntry(traits={"engine": "electric", "size": "large"}, use="steep lawn")
    assert read_facts(mower, [], None) == FactsEntry(traits={}, use=None)
    message = refused(lambda: read_facts(mower, ["engine"], None))
    assert message == "'engine' is not NAME=VALUE, such as engine=petrol"
    assert "one of small, large" in refused(lambda: read_facts(mower, ["size=huge"], None))


def test_a_figure_says_where_it_was_read(mower: RuleBase) -> None:
    read = read_figure(mower, "plug-gap=0.7 mm", " page  4 ", DAY)
    amount = Amount(value=0.7, unit="mm")
    assert read == TargetEntry(spec="plug-gap", figure=amount, read_in="page 4", on=DAY)
    none = TargetEntry(spec="plug-gap", figure=None, read_in="", on=DAY)
    assert read_figure(mower, "plug-gap=none", None, DAY) == none
    for where in (None, "", "  "):
        message = refused(lambda where=where: read_figure(mower, "plug-gap=0.7 mm", where, DAY))  # type: ignore[misc]
        assert message == (
            "say where plug-gap was read, such as --read-in 'owner\\'s manual, page 4-12'"
        )
    message = refused(lambda: read_figure(mower, "plug-gap", "page 4", DAY))
    assert message == "'plug-gap' is not NAME=VALUE, such as plug-gap=FIGURE"
    assert "plug-gape" in refused(lambda: read_figure(mower, "plug-gape=none", "page 4", DAY))


def test_a_setting_is_a_reading_or_a_state(mower: RuleBase) -> None:
    read = read_setting(mower, "plug-gap-reading=0.7 mm", DAY, baseline=True, why=" too  wide ")
    assert read == SettingEntry(
        observation="plug-gap-reading",
        reading=Amount(value=0.7, unit="mm"),
        on=DAY,
        baseline=True,
        note="too wide",
    )
    seen = read_setting(mower, "tank-look=stale", DAY)
    assert (seen.state, seen.reading, seen.baseline, seen.note) == ("stale", None, False, "")
    message = refused(lambda: read_setting(mower, "tank-look=dont-know", DAY))
    assert message == "'dont-know' says nothing about tank-look; leave it out"
    message = refused(lambda: read_setting(mower, "tank-look", DAY))
    assert message == "'tank-look' is not NAME=VALUE, such as plug-gap-reading=READING"


def test_a_ride_is_hours_or_a_meter() -> None:
    message = "give either the hours ridden or --meter with what the hour meter reads"
    assert refused(lambda: ride(Bike("Demo"))) == message
    assert refused(lambda: ride(Bike("Demo"), "2 h", "5 h")) == message
    assert ride(Bike("Demo"), "90 min") == RideEntry(on=DAY, hours=1.5)
    read = read_ride(Bike("Demo"), None, "40 h", DAY, new_meter=True, why=" new  one ")
    assert read == RideEntry(on=DAY, meter=40, new_meter=True, note="new one")
    assert read_ride(Bike("Demo"), "1 h", None, DAY, new_meter=False, why="wet").note == "wet"


@pytest.mark.parametrize("hours", ["0 h", "-1 h", "24.1 h"])
def test_no_ride_is_longer_than_a_day(hours: str) -> None:
    message = refused(lambda: ride(Bike("Demo"), hours))
    assert message == f"{hours!r}: a ride has more than 0 and at most 24 hours"
    assert ride(Bike("Demo"), "24 h").hours == 24


def test_a_day_has_no_more_hours_than_it_has() -> None:
    """What a meter adds may be of other days, and what was ridden on them is of no matter."""
    bike = ridden(
        RideEntry(on=on(9), hours=20),
        RideEntry(on=on(10), hours=20),
        RideEntry(on=on(10), hours=2.5),
        RideEntry(on=on(10), meter=50),
    )
    assert ride(bike, "1.5 h").hours == 1.5
    assert refused(lambda: ride(bike, "1.6 h")) == (
        "'1.6 h': 22.5 h are logged for 2026-05-10 already, and a day has 24 hours"
    )


def test_a_meter_reads_what_meters_do() -> None:
    assert ride(Bike("Demo"), meter="0 h").meter == 0
    assert ride(Bike("Demo"), meter="100000 h").meter == 100_000
    for meter in ("-0.1 h", "100001 h"):
        message = refused(lambda meter=meter: ride(Bike("Demo"), meter=meter))  # type: ignore[misc]
        assert message == f"{meter!r}: an hour meter reads 0 to 100000 h"


def test_a_meter_never_runs_back_unless_it_is_a_new_one() -> None:
    bike = ridden(RideEntry(on=on(5), meter=40), RideEntry(on=on(8), meter=42.5))
    assert ride(bike, meter="42.5 h").meter == 42.5
    message = refused(lambda: ride(bike, meter="42.4 h"), MeterRunsBack)
    assert message == "42.4 h is less than the 42.5 h of 2026-05-08"
    assert ride(bike, meter="0 h", new=True).new_meter
    assert refused(lambda: ride(bike, meter="39 h", day=6), MeterRunsBack).endswith("2026-05-05")
    # the day itself counts as before
    assert refused(lambda: ride(bike, meter="39 h", day=5), MeterRunsBack).endswith("2026-05-05")


def test_a_meter_counts_no_more_than_the_days_since_have() -> None:
    bike = ridden(RideEntry(on=on(8), meter=40), RideEntry(on=on(9), hours=2))
    assert ride(bike, meter="112 h").meter == 112
    assert refused(lambda: ride(bike, meter="112.5 h")) == (
        "112.5 h is 72.5 h more than on 2026-05-08; at most 72 h can have been ridden since"
    )
    assert ride(bike, meter="900 h", new=True).meter == 900


def test_a_meter_read_earlier_was_not_higher_than_later() -> None:
    bike = ridden(RideEntry(on=on(12), meter=40), RideEntry(on=on(14), meter=60))
    assert ride(bike, meter="40 h").meter == 40
    assert refused(lambda: ride(bike, meter="41 h")) == (
        "41 h is more than the 40 h of 2026-05-12, which is later"
    )
    assert refused(lambda: ride(bike, meter="61 h", day=13)) == (
        "61 h is more than the 60 h of 2026-05-14, which is later"
    )
    changed = ridden(RideEntry(on=on(12), meter=0, new_meter=True))
    assert ride(changed, meter="41 h").meter == 41


def test_a_service_is_of_a_clock_by_what_people_call_it(clock_pack: RuleBase) -> None:
    assert read_service(clock_pack, "hours-blade", DAY, " new  one ") == ServiceEntry(
        clock="hours-blade", on=DAY, note="new one"
    )
    assert read_service(clock_pack, "hours-blade", DAY, "").note == ""
    assert "hours-blade" in refused(lambda: read_service(clock_pack, "hours-blad", DAY, ""))


def test_a_note_is_one_line_that_can_be_printed() -> None:
    assert note("  two\n lines\tof  it ") == "two lines of it"
    assert note("a" * LONGEST_NOTE) == "a" * 500
    asked = "a note has 1 to 500 letters, all of them printable"
    unseen = f"{asked}: this holds U+0007, which cannot be seen; leave that out"
    for text, told in (("", asked), (" \n", asked), ("a" * 501, asked), ("bell \a", unseen)):
        message = refused(lambda text=text: note(text))  # type: ignore[misc]
        assert message == told
