"""A year of a shop: 40 bikes and 400 cases, every listing timed. Run by name: pytest tests/bench -n 0 -s."""

from __future__ import annotations

import gc
import random
import statistics
import time
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import psutil
import pytest

from diagnose.advice.assessor import Assessor
from diagnose.case.events import Answered, Case, Complained, Corrected, Event, RideReport, Rode
from diagnose.records.bikes.against_baseline import differences
from diagnose.records.bikes.before_ride import before_ride
from diagnose.records.bikes.bike import Bike
from diagnose.records.bikes.bike_book import BikeBook
from diagnose.records.bikes.bike_input import read_ride, read_service, read_setting
from diagnose.records.bikes.bike_journal import BikeEntry
from diagnose.records.bikes.service import clock_states, clocks
from diagnose.records.cases.case_book import CaseBook
from diagnose.records.cases.case_lists import (
    CaseFilter,
    list_cases,
    proven_causes,
    similar_cases,
)
from diagnose.records.cases.closing import close, weigh_closing
from diagnose.records.cases.known import assumptions
from diagnose.records.cases.season import season_of
from diagnose.records.learning.learned import learn_in_use
from diagnose.records.learning.lessons import read_lessons
from diagnose.records.learning.other_shops import other_shops, write_counts
from diagnose.records.store.opening import open_store
from diagnose.records.store.place import at_path
from diagnose.records.store.store import Store
from diagnose.training.records.store_check import look_through
from rules.rulebase import RuleBase
from rules.units.quantities import Quantity
from tui.bikes.season_lines import season_chart

BIKES, CASES, DAYS = 40, 400, 365
MOST_SECONDS = 0.3
MOST_GROWN = 5.0  # MB
ROUNDS, FIRST = 40, 10
BEGAN = date(2025, 11, 1)
READINGS = {
    "front-tyre-gauge": ("psi", 10, 26),
    "rear-tyre-gauge": ("psi", 9, 24),
    "rear-race-sag-measured": ("mm", 85, 130),
    "fork-compression-clicks": ("clicks", 4, 20),
    "shock-rebound-clicks": ("clicks", 4, 20),
}
ENDS = ("front", "rear")

pytestmark = pytest.mark.timeout(900)


class Year:
    """A clock that a test moves through the year."""

    def __init__(self) -> None:
        self.moment = datetime(BEGAN.year, BEGAN.month, BEGAN.day, 9, tzinfo=UTC)

    def __call__(self) -> datetime:
        self.moment += timedelta(seconds=1)
        return self.moment

    def to(self, day: int) -> None:
        self.moment = datetime(BEGAN.year, BEGAN.month, BEGAN.day, 9, tzinfo=UTC) + timedelta(day)


def log_of_a_year(rules: RuleBase, rng: random.Random) -> list[BikeEntry]:
    """Two rides a week, a note of something every third day, a service now and then."""
    entries: list[BikeEntry] = [
        read_setting(rules, f"{name}={low + 3} {unit}", BEGAN, baseline=True)
        for name, (unit, low, _) in READINGS.items()
    ]
    for day in range(1, DAYS):
        on = BEGAN + timedelta(days=day)
        if day % 7 in (2, 6):
            hours = f"{rng.uniform(0.5, 3):.1f}"
            entries.append(read_ride(Bike(""), hours, None, on, new_meter=False, why=""))
        if day % 3 == 0:
            name = rng.choice(list(READINGS))
            unit, low, high = READINGS[name]
            entries.append(read_setting(rules, f"{name}={rng.randint(low, high)} {unit}", on))
        if day % 30 == 0:
            entries.append(read_service(rules, rng.choice(clocks(rules)), on, ""))
    return entries


@pytest.fixture(scope="module")
def year(tmp_path_factory: pytest.TempPathFactory, offroad_assessor: Assessor) -> tuple[Path, date]:
    """The store of such a year, and its last day."""
    rules, rng, clock = offroad_assessor.rules, random.Random(7), Year()
    path = tmp_path_factory.mktemp("year") / "store.sqlite"
    store = open_store(at_path(path), clock, create=True)
    bikes, book = BikeBook(store), CaseBook(store, rules)
    for number in range(BIKES):
        bikes.add(f"Demo {number} (INVENTED)", log_of_a_year(rules, rng))
    for number in range(CASES):
        clock.to(number * DAYS // CASES)
        end = rng.choice(ENDS)
        seen: tuple[Event, ...] = ()
        if rng.random() < 0.8:
            reading = Quantity(float(rng.randint(20, 30)), "psi")
            seen = (Answered(f"{end}-tyre-gauge", reading=reading),)
        case = Case(events=(Complained("harsh", end), *seen))
        kept = book.begin(case, f"Demo {number % BIKES} (INVENTED)")
        if rng.random() < 0.9:
            report: RideReport = rng.choice(("gone", "gone", "same"))
            for event in (Corrected(f"set-{end}-tyre-pressure"), Rode(report)):
                kept = book.record(kept, kept.case.with_event(event))
            cause = f"{end}-tyre-pressure-high" if report == "gone" else None
            close(book, offroad_assessor, kept, weigh_closing(rules, kept, cause=cause))
    store.close()
    return path, BEGAN + timedelta(days=DAYS)


def listings(store: Store, rules: RuleBase, today: date) -> dict[str, Callable[[], object]]:
    """Everything that lists something of the year."""
    bikes, book = BikeBook(store), CaseBook(store, rules)
    name = "Demo 7 (INVENTED)"
    bike = bikes.read(name)
    of_bike = CaseFilter(bike=name, limit=1000)

    def chart() -> list[str]:
        season = season_of(rules, bikes.read(name), list_cases(store, of_bike).rows, today)
        return [
            row
            for line in season.lines
            for row in season_chart(season, line, fancy=True, fine=True, height=10)
        ]

    return {
        "bikes": lambda: bikes.rows(archived=True),
        "a bike with its log": lambda: bikes.read(name),
        "what is due on a bike": lambda: clock_states(rules, bikes.read(name), today),
        "baseline against now": lambda: differences(rules, bikes.read(name)),
        "the list before a ride": lambda: before_ride(rules, bike, today),
        "what its record answers": lambda: assumptions(rules, bikes.read(name), today),
        "its season, every chart": chart,
        "20 cases": lambda: list_cases(store, CaseFilter()),
        "all cases": lambda: list_cases(store, CaseFilter(limit=10_000)),
        "cases by words": lambda: list_cases(store, CaseFilter(text="harsh demo 7")),
        "cases like one": lambda: (
            similar_cases(store, ["harsh"]),
            proven_causes(store, ["harsh"]),
        ),
        "a case": lambda: book.read(200),
        "lessons": lambda: read_lessons(store, rules.info.id, every=True),
        "learned": lambda: (learn_in_use(rules, store), other_shops(store)),
        "counts for another shop": lambda: write_counts(store, rules, "North (INVENTED)"),
    }


def test_every_listing(
    year: tuple[Path, date], offroad: RuleBase, capsys: pytest.CaptureFixture[str]
) -> None:
    path, today = year
    store = open_store(at_path(path), lambda: datetime.now(UTC))
    usual: dict[str, float] = {}
    for name, listing in listings(store, offroad, today).items():
        listing()
        times = []
        for _ in range(7):
            start = time.perf_counter()
            listing()
            times.append(time.perf_counter() - start)
        usual[name] = statistics.median(times)
        with capsys.disabled():
            print(
                f"\n{name}: median {statistics.median(times) * 1e3:.1f} ms, worst {max(times) * 1e3:.1f} ms",
                end="",
            )
    start = time.perf_counter()
    looked = look_through(store, offroad)
    checked = time.perf_counter() - start
    with capsys.disabled():
        print(
            f"\ncheck of the store: {checked * 1e3:.0f} ms; {looked.sizes}; {path.stat().st_size / 2**20:.1f} MiB"
        )
    assert looked.damage == ()
    assert (looked.sizes["bikes"], looked.sizes["cases"]) == (BIKES, CASES)
    assert {name: took for name, took in usual.items() if took >= MOST_SECONDS} == {}


def test_memory_stays_flat(
    year: tuple[Path, date], offroad: RuleBase, capsys: pytest.CaptureFixture[str]
) -> None:
    path, today = year
    store = open_store(at_path(path), lambda: datetime.now(UTC))
    process, sizes = psutil.Process(), []
    for _ in range(ROUNDS):
        for listing in listings(store, offroad, today).values():
            listing()
        gc.collect()
        sizes.append(process.memory_info().rss / 2**20)
    with capsys.disabled():
        print(f"\n{ROUNDS} rounds of every listing: {sizes[FIRST]:.1f} MB, then {sizes[-1]:.1f} MB")
    assert sizes[-1] - sizes[FIRST] < MOST_GROWN
