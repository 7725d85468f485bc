"""A shop with several benches: the same store on PostgreSQL, started here from Debian's packages."""

from __future__ import annotations

import sqlite3
import subprocess
import sys
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext

from diagnose.advice.assessor import Assessor
from diagnose.case.events import Answered, Case, Complained, Corrected, Noted, Rode
from diagnose.records.bikes.bike_book import BikeBook
from diagnose.records.bikes.bike_journal import RideEntry
from diagnose.records.cases.case_book import CaseBook
from diagnose.records.cases.case_lists import (
    CaseFilter,
    list_cases,
    proven_causes,
    similar_cases,
)
from diagnose.records.cases.closing import close, reopen, weigh_closing
from diagnose.records.cases.exporting import export_csv
from diagnose.records.learning.lessons import (
    learning_state,
    reset_learning,
    switch_learning,
)
from diagnose.records.learning.tally import tally_in_use
from diagnose.records.store import opening
from diagnose.records.store.backup import back_up, restore
from diagnose.records.store.opening import open_store, upgrade
from diagnose.records.store.place import at_path, find_place
from diagnose.records.store.store import connect
from diagnose.records.store.store_problems import Clash, NewerStore, NoStore
from diagnose.records.store.tables import METADATA, SCHEMAS
from diagnose.training.course.course import load_teaching
from diagnose.training.desk import TrainingDesk
from diagnose.training.habits.trainees import Advised, work
from diagnose.training.records.store_check import check_everything, look_through
from rules.problems import BadInput
from rules.rulebase import RuleBase
from tests.places import PACKS, STORES
from tests.postgresql import Server, a_server

pytestmark = pytest.mark.long


@pytest.fixture(scope="module")
def server() -> Iterator[Server]:
    with a_server() as running:
        yield running


@pytest.fixture
def url(server: Server, request: pytest.FixtureRequest) -> str:
    """A database of the test's own."""
    return server.new_database("t" + str(abs(hash(request.node.name)) % 10**9))


def now() -> datetime:
    return datetime.now(UTC)


def test_everything_works_as_on_sqlite(url: str, mower_assessor: Assessor, tmp_path: Path) -> None:
    rules = mower_assessor.rules
    with pytest.raises(NoStore):
        open_store(find_place(url, {}), now)
    store = open_store(find_place(url, {}), now, create=True)
    with store.reading() as connection:
        assert compare_metadata(MigrationContext.configure(connection), METADATA) == []
    bikes, book = BikeBook(store), CaseBook(store, rules)
    bikes.add("Größe 1", [RideEntry(on=now().date(), hours=2)])
    with pytest.raises(BadInput, match="already"):
        bikes.add("GRÖSSE 1".replace("SS", "ß"), [])
    mine = book.begin(
        Case(
            {"size": "large"},
            {},
            (Complained("no-start"), Answered("tank-look", "stale"), Noted("100% ümlaut_")),
        ),
        "größe 1",
    )
    theirs = book.record(book.read(mine.id), mine.case.with_event(Corrected("fill-up")))
    with pytest.raises(Clash):
        book.record(mine, mine.case.with_event(Noted("late")))
    theirs = book.record(theirs, theirs.case.with_event(Rode("gone")))
    closed = close(book, mower_assessor, theirs, weigh_closing(rules, theirs, cause="stale-fuel"))
    assert [row.id for row in list_cases(store, CaseFilter(text="100% ÜMLAUT_ stale")).rows] == [1]
    assert [row.id for row in list_cases(store, CaseFilter(text="100x")).rows] == []
    assert [row.id for row in similar_cases(store, ["no-start"])] == [1]
    assert proven_causes(store, ["no-start"]) == [("stale-fuel", 1)]
    assert [(r.name, r.cases, r.open_cases) for r in bikes.rows()] == [("Größe 1", 1, 0)]
    assert list(tally_in_use(store, "mower").machines) == ["stale-fuel"]
    switch_learning(store, False)
    reset_learning(store)
    assert not learning_state(store).on
    sizes = back_up(store, tmp_path / "backup.sqlite")
    copy = open_store(at_path(tmp_path / "copy.sqlite"), now, create=True)
    assert restore(copy, tmp_path / "backup.sqlite").sizes == sizes
    assert export_csv(CaseBook(copy, rules)) == export_csv(book)
    assert CaseBook(copy, rules).read(1) == book.read(1)
    check_everything(store, rules)
    reopen(book, closed)
    switch_learning(store, True)
    assert tally_in_use(store, "mower").machines == {}


def test_a_sqlite_backup_restores_into_postgresql(
    url: str, tmp_path: Path, mower: RuleBase
) -> None:
    store = open_store(at_path(tmp_path / "one.sqlite"), now, create=True)
    book = CaseBook(store, mower)
    BikeBook(store).add("Demo", [])
    book.begin(Case(events=(Complained("no-start"),)), "Demo")
    back_up(store, tmp_path / "backup.sqlite")
    shop = open_store(find_place(url, {}), now, create=True)
    restore(shop, tmp_path / "backup.sqlite")
    assert CaseBook(shop, mower).read(1) == book.read(1)
    assert CaseBook(shop, mower).begin(Case(events=(Complained("no-start"),))).id == 2


def test_trainees_and_their_cases_are_kept(url: str, mower: RuleBase) -> None:
    store = open_store(find_place(url, {}), now, create=True)
    desk = TrainingDesk(load_teaching(mower, (PACKS / "mower",)), store)
    desk.trainees.add("Ann")
    encounter = desk.begin_lesson("Ann", desk.course.lesson("dead-1"))
    work(encounter, Advised())
    desk.after_case("Ann")
    assert desk.standing("Ann").progress.passed == 1
    assert desk.trainees.read("ann").opened("mower") == {"look", "ride"}
    assert len(desk.attempts.read(encounter.attempt.id).steps) == len(encounter.steps)
    assert check_everything(store, mower)["attempts"] == 1


@pytest.mark.parametrize("schema", SCHEMAS[:-1])
def test_an_older_schema_is_brought_up_to_date_with_a_backup_kept(
    url: str, schema: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, mower: RuleBase
) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    place = find_place(url, {})
    engine = connect(place, create=False)
    with engine.begin() as connection:
        upgrade(connection, schema)
    from sqlalchemy import MetaData

    old = tmp_path / "old.sqlite"
    with sqlite3.connect(old) as raw:
        raw.executescript((STORES / f"{schema}.sql").read_text(encoding="utf-8"))
    raw.close()
    source = connect(at_path(old), create=False)
    found = MetaData()
    with source.connect() as rows, engine.begin() as target:
        found.reflect(rows)
        for table in found.sorted_tables:
            held = [dict(row) for row in rows.execute(table.select()).mappings()]
            if held and table.name != "alembic_version":
                target.execute(table.insert(), held)
    store = open_store(place, now)
    assert check_everything(store, mower)["case_entries"] == 13
    (backup,) = (tmp_path / "badride").iterdir()
    assert f"before-{schema}" in backup.name
    # the backup still is what it was, and opens; the same rows on SQLite become the same rows
    assert rows_of(old) == rows_of(backup)
    with store.reading() as ours, open_store(at_path(old), now).reading() as theirs:
        assert compare_metadata(MigrationContext.configure(ours), METADATA) == []
        for table in METADATA.sorted_tables:
            assert sorted(map(tuple, ours.execute(table.select())), key=str) == sorted(
                map(tuple, theirs.execute(table.select())), key=str
            ), table.name


def rows_of(path: Path) -> dict[str, list[tuple[object, ...]]]:
    """Every row of every table of a SQLite file."""
    with sqlite3.connect(path) as raw:
        tables = raw.execute("SELECT name FROM sqlite_master WHERE type = 'table'").fetchall()
        found = {
            name: sorted(raw.execute(f"SELECT * FROM {name}").fetchall(), key=str)
            for (name,) in tables
        }
    raw.close()
    return found


def test_a_newer_schema_is_left_alone(url: str) -> None:
    from sqlalchemy import text

    store = open_store(find_place(url, {}), now, create=True)
    with store.writing() as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '0099'"))
    with pytest.raises(NewerStore):
        open_store(find_place(url, {}), now)


def test_a_migration_that_fails_leaves_the_store_as_it_was(
    url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = opening.upgrade

    def half(connection: object) -> None:
        whole(connection)  # type: ignore[arg-type]
        raise KeyboardInterrupt

    monkeypatch.setattr(opening, "upgrade", half)
    with pytest.raises(KeyboardInterrupt):
        open_store(find_place(url, {}), now, create=True)
    engine = connect(find_place(url, {}), create=False)
    with engine.connect() as connection:
        assert opening.schema_of(find_place(url, {}), connection) is None


def test_two_shells_that_note_at_once_both_succeed(url: str, mower: RuleBase) -> None:
    store = open_store(find_place(url, {}), now, create=True)
    BikeBook(store).add("Demo", [])
    CaseBook(store, mower).begin(Case(events=(Complained("no-start"),)), "Demo")
    code = [sys.executable, "-c", "from tui.cli.main import run; run()"]
    options = ["--store", url, "--pack", str(PACKS / "mower")]
    shells = [
        subprocess.Popen(
            [*code, *words, *options], stdout=subprocess.PIPE, stderr=subprocess.STDOUT
        )
        for n in range(4)
        for words in (["cases", "note", "1", f"note {n}"], ["bike", "ride", "Demo", "1"])
    ]
    said = [(shell.communicate(timeout=60)[0].decode(), shell.returncode) for shell in shells]
    assert [status for _, status in said] == [0] * len(said), said
    notes = [e.text for e in CaseBook(store, mower).read(1).case.events if isinstance(e, Noted)]
    assert sorted(notes) == [f"note {n}" for n in range(4)]
    assert BikeBook(store).read("Demo").total_hours == 4
    assert look_through(store, mower).damage == ()


@pytest.mark.faults
def test_a_minute_of_two_writers(
    url: str, write_together: Callable[[str, float], str], capsys: pytest.CaptureFixture[str]
) -> None:
    told = write_together(url, 60)
    with capsys.disabled():
        print(f"\nPostgreSQL: {told}")
