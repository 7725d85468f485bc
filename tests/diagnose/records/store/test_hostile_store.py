"""A store that somebody else has written in: everything is read, or refused in words, and what is
refused is left as it is."""

from __future__ import annotations

import json
import random
import shutil
import sqlite3
from collections.abc import Callable, Iterable, Iterator
from contextlib import closing, suppress
from datetime import date
from functools import partial
from pathlib import Path
from typing import Any

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.case.events import Answered, Case, Complained, Corrected, Noted, Rode
from diagnose.records.bikes.bike_book import BikeBook
from diagnose.records.bikes.bike_journal import RideEntry, ServiceEntry
from diagnose.records.cases.case_book import CaseBook
from diagnose.records.cases.case_lists import CaseFilter, list_cases
from diagnose.records.cases.closing import close, weigh_closing
from diagnose.records.cases.exporting import export_csv, export_json
from diagnose.records.learning.learned import learn_in_use
from diagnose.records.store.backup import back_up, restore, sound_backup
from diagnose.records.store.opening import open_memory, open_store
from diagnose.records.store.place import at_path
from diagnose.records.store.store import Store
from diagnose.records.store.store_problems import DamagedStore, StoreProblem
from diagnose.records.store.times import Clock
from diagnose.training.records.store_check import check_everything
from diagnose.training.records.trainee_book import TraineeBook
from rules.problems import BadInput
from rules.rulebase import RuleBase

CELLS: list[Any] = [
    None, b"\x00\xff", "", " ", -1, 0, 10**18, 1.5, float("inf"), "x\x00y", "\x1b[31m", "\u202e", "NaN", "{}", "[]",
    "[" * 200_000, '{"a":' * 100_000, '{"format":1}', '{"format":99}', '{"format":1,"kind":"x"}', "null", "9" * 5000,
    "a" * 10**6, "\U0001f3cd", "2026-05-01", "9999-12-31T23:59:59.000000Z", "0001-01-01T00:00:00.000000Z",
]  # fmt: skip
VALUES: list[Any] = [
    None, True, -1, 0, 1e308, float("nan"), float("inf"), 10**18, 2**63, "", "x" * 1000, "\x1b[31m", "\x00", "\ud800",
    [], {}, [[[]]], {"a": 1}, "psi", "mm", "9999-12-31", "0001-01-01", "no-such", "stale", "1e400",
]  # fmt: skip


@pytest.fixture
def sound(book: CaseBook, bikes: BikeBook, mower_assessor: Assessor, tmp_path: Path) -> Path:
    """The file of a store with something of everything."""
    rides = [RideEntry(on=date(2026, 4, day), hours=2) for day in (1, 9)]
    bikes.add("Demo", [*rides, ServiceEntry(clock="plug-gap-reading", on=date(2026, 4, 2))])
    kept = book.begin(
        Case({"size": "large"}, {}, (Complained("no-start"), Answered("tank-look", "empty"))),
        "Demo",
    )
    for event in (Corrected("fill-up"), Rode("gone"), Noted("a note")):
        kept = book.record(kept, kept.case.with_event(event))
    close(book, mower_assessor, kept, weigh_closing(book.rules, kept, cause="no-fuel"))
    book.begin(Case(events=(Complained("vibration", "deck"),)))
    TraineeBook(book.store).add("Ann")
    back_up(book.store, tmp_path / "sound.sqlite")
    return tmp_path / "sound.sqlite"


def readings(store: Store, rules: RuleBase, folder: Path) -> Iterator[Callable[[], object]]:
    """Everything that reads a store."""
    book, bikes = CaseBook(store, rules), BikeBook(store)
    yield partial(check_everything, store, rules)
    yield partial(bikes.rows, archived=True)
    yield partial(bikes.read, "Demo")
    yield partial(book.read, 1)
    yield partial(book.read, 2)
    yield partial(list_cases, store, CaseFilter())
    yield partial(export_csv, book)
    yield partial(export_json, book)
    yield partial(learn_in_use, rules, store)
    yield partial(TraineeBook(store).everybody)
    yield lambda: book.record(kept := book.read(2), kept.case.with_event(Noted("more")))
    yield partial(bikes.append, "Demo", [RideEntry(on=date(2026, 4, 10), hours=1)])
    yield partial(back_up, store, folder / "again.sqlite")


def read_or_refused(path: Path, clock: Clock, rules: RuleBase) -> None:
    """Nothing but words comes of reading the store at `path`, or of restoring it."""
    again = path.with_name("again.sqlite")
    again.unlink(missing_ok=True)
    with suppress(BadInput):
        store = open_store(at_path(path), clock)
        for reading in readings(store, rules, path.parent):
            with suppress(BadInput):
                reading()
        store.close()
    with suppress(BadInput):
        sound_backup(path)
        restore(open_memory(clock), path)


class Spoiler:
    """Writes something else into a store, a cell or a part of a journal entry at a time."""

    def __init__(self, seed: int) -> None:
        self._chance = random.Random(seed)

    def spoil(self, path: Path) -> str:
        """Do it, and say what was done."""
        if self._chance.random() < 0.2:
            return self._bytes(path)
        with closing(sqlite3.connect(path)) as raw:
            tables = [
                name
                for (name,) in raw.execute("SELECT name FROM sqlite_master WHERE type = 'table'")
            ]
            filled = [t for t in tables if raw.execute(f"SELECT count(*) FROM {t}").fetchone()[0]]
            table = self._chance.choice(filled)
            columns = [row[1] for row in raw.execute(f"PRAGMA table_info({table})")]
            column = (
                "body"
                if "body" in columns and self._chance.random() < 0.6
                else self._chance.choice(columns)
            )
            row, old = self._chance.choice(
                raw.execute(f"SELECT rowid, {column} FROM {table}").fetchall()
            )
            new = (
                self._other_json(old)
                if column == "body" and self._chance.random() < 0.8
                else self._chance.choice(CELLS)
            )
            with suppress(sqlite3.Error, OverflowError):
                raw.execute(f"UPDATE {table} SET {column} = ? WHERE rowid = ?", (new, row))
                raw.commit()
        return f"{table}.{column} = {str(new)[:200]!r}"

    def _bytes(self, path: Path) -> str:
        raw = bytearray(path.read_bytes())
        for _ in range(self._chance.choice([1, 5, 50])):
            raw[self._chance.randrange(len(raw))] = self._chance.randrange(256)
        end = self._chance.randrange(len(raw)) if self._chance.random() < 0.3 else len(raw)
        path.write_bytes(raw[:end])
        return f"bytes, {end} of them"

    def _other_json(self, text: str) -> str:
        data = json.loads(text)
        part = self._chance.choice(list(_parts(data)))
        key = self._chance.choice(list(part))
        if self._chance.random() < 0.2:
            del part[key]
        else:
            part[key] = self._chance.choice(VALUES)
        return json.dumps(data)


def _parts(data: dict[str, Any]) -> Iterator[dict[str, Any]]:
    if data:
        yield data
    for value in data.values():
        if isinstance(value, dict):
            yield from _parts(value)


def spoilt_again_and_again(
    sound: Path, clock: Clock, rules: RuleBase, seeds: Iterable[int]
) -> None:
    for seed in seeds:
        path = sound.with_name("spoilt.sqlite")
        shutil.copy(sound, path)
        done = Spoiler(seed).spoil(path)
        try:
            read_or_refused(path, clock, rules)
        except Exception as error:
            error.add_note(f"seed {seed}: {done}")
            raise


def test_a_spoilt_store_is_read_or_refused(sound: Path, clock: Clock, mower: RuleBase) -> None:
    spoilt_again_and_again(sound, clock, mower, (3, 4, 5, 137))


@pytest.mark.long
@pytest.mark.faults
def test_many_spoilt_stores_are_read_or_refused(sound: Path, clock: Clock, mower: RuleBase) -> None:
    spoilt_again_and_again(sound, clock, mower, range(100, 250))


@pytest.mark.parametrize(
    "body", ["[" * 200_000, '{"a":' * 100_000, "1" * 5000, '"\\ud800"', "\x00"]
)
def test_an_entry_that_no_parser_bears_is_named(
    sound: Path, clock: Clock, mower: RuleBase, body: str
) -> None:
    with closing(sqlite3.connect(sound)) as raw:
        raw.execute("UPDATE case_entries SET body = ? WHERE case_id = 1 AND seq = 1", (body,))
        raw.commit()
    store = open_store(at_path(sound), clock)
    with pytest.raises(DamagedStore, match="entry 1 of case 1 cannot be read"):
        CaseBook(store, mower).read(1)
    store.close()


def test_nothing_is_added_to_a_journal_whose_count_was_overwritten(
    sound: Path, clock: Clock, mower: RuleBase
) -> None:
    with closing(sqlite3.connect(sound)) as raw:
        raw.execute("UPDATE cases SET entries = 'many' WHERE id = 2")
        raw.commit()
    store = open_store(at_path(sound), clock)
    book = CaseBook(store, mower)
    kept = book.read(2)
    with pytest.raises(DamagedStore, match="how many entries case 2 has was overwritten"):
        book.record(kept, kept.case.with_event(Noted("more")))
    assert book.read(2) == kept
    store.close()


def test_what_no_database_can_be_asked_for_is_refused(bikes: BikeBook, book: CaseBook) -> None:
    with pytest.raises(StoreProblem, match="cannot be stored"):
        bikes.read("De\udcffmo")
    with pytest.raises(StoreProblem, match="so large a number"):
        book.read(10**20)
