"""Stores and clocks for the records."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from diagnose.case.events import Case, Complained, Noted
from diagnose.records.bikes.bike_book import BikeBook
from diagnose.records.cases.case_book import CaseBook
from diagnose.records.store.opening import open_store
from diagnose.records.store.place import at_path, find_place
from diagnose.records.store.store import Store
from diagnose.training.records.store_check import check_everything
from rules.rulebase import RuleBase
from tests.clocks import Ticking
from tests.mower_bikes import settable_pack
from tests.places import ROOT


@pytest.fixture
def clock() -> Ticking:
    return Ticking()


@pytest.fixture
def store(tmp_path: Path, clock: Callable[[], datetime]) -> Iterator[Store]:
    kept = open_store(at_path(tmp_path / "store.sqlite"), clock, create=True)
    yield kept
    kept.close()


@pytest.fixture
def book(store: Store, mower: RuleBase) -> CaseBook:
    return CaseBook(store, mower)


@pytest.fixture
def bikes(store: Store) -> BikeBook:
    return BikeBook(store)


@pytest.fixture(scope="session")
def clock_pack(tmp_path_factory: pytest.TempPathFactory) -> RuleBase:
    """The mower pack with service clocks and things to set."""
    return settable_pack(tmp_path_factory.mktemp("clocks"))


def write_and_compare(where: str, rules: RuleBase, seconds: float, writers: int = 2) -> str:
    """Run the writers, compare what they say with the store, and return what happened in a line."""
    store = open_store(find_place(where, {}), lambda: datetime.now(UTC), create=True)
    book, bikes = CaseBook(store, rules), BikeBook(store)
    bikes.add("Shared", [])
    book.begin(Case(events=(Complained("no-start"),)), "Shared")
    code = [sys.executable, "-m", "tests.diagnose.records.store.writers", where]
    running = [
        subprocess.Popen(
            [*code, f"w{n}", str(seconds)],
            cwd=ROOT,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        for n in range(writers)
    ]
    reports = []
    for process in running:
        out, errors = process.communicate(timeout=seconds + 60)
        assert process.returncode == 0, errors
        reports.append(json.loads(out))
    notes: dict[int, list[str]] = {}
    for kept in (book.read(n) for n in range(1, 2 + sum(len(r["cases"]) for r in reports))):
        notes[kept.id] = [event.text for event in kept.case.events if isinstance(event, Noted)]
    shared = [token for report in reports for token in report["shared"]]
    assert sorted(notes.pop(1)) == sorted(shared)
    own = [entry for report in reports for entry in (*report["cases"], *report["own"])]
    assert sorted(
        f"{number}:{token}" for number, tokens in notes.items() for token in tokens
    ) == sorted(own)
    rides = [token for report in reports for token in report["rides"]]
    bike = bikes.read("Shared")
    assert sorted(ride.note for ride in bike.rides) == sorted(rides)
    assert bike.total_hours == len(rides)
    check_everything(store, rules)
    store.close()
    clashes = sum(report["clashes"] for report in reports)
    assert shared
    assert own
    assert rides
    return f"{writers} writers, {seconds:g} s: {len(shared) + len(own) + len(rides)} writes, {clashes} clashes settled, none lost"


@pytest.fixture
def write_together(mower: RuleBase) -> Callable[[str, float], str]:
    """`write_together(where, seconds)`: two writers on one store, held against each other."""
    return lambda where, seconds: write_and_compare(where, mower, seconds)
