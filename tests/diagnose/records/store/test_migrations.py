"""Stores of earlier schemas, kept as they were written then."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory

from diagnose.advice.assessor import Assessor
from diagnose.case.events import Noted
from diagnose.records.bikes.bike_book import BikeBook
from diagnose.records.cases.case_book import CaseBook
from diagnose.records.cases.case_lists import CaseFilter, list_cases
from diagnose.records.cases.closing import relearn
from diagnose.records.learning.lessons import read_lessons
from diagnose.records.store.opening import MIGRATIONS, open_store
from diagnose.records.store.place import at_path
from diagnose.records.store.store import Store
from diagnose.records.store.tables import METADATA, SCHEMAS
from diagnose.training.records.store_check import check_everything, look_through
from rules.rulebase import RuleBase
from tests.places import STORES

KEPT = STORES
_DATED_ANEW = (
    "UPDATE case_entries SET at = '2020-01-01T00:00:00.000000Z' WHERE case_id = 3 AND seq = 2"
)
Clock = Callable[[], datetime]


def old_store(schema: str, folder: Path) -> Path:
    path = folder / f"{schema}.sqlite"
    with sqlite3.connect(path) as raw:
        raw.executescript((KEPT / f"{schema}.sql").read_text(encoding="utf-8"))
    raw.close()
    return path


def rows_of(path: Path) -> dict[str, list[tuple[object, ...]]]:
    """Every row of every table."""
    with sqlite3.connect(path) as raw:
        names = [
            name for (name,) in raw.execute("SELECT name FROM sqlite_master WHERE type = 'table'")
        ]
        found = {
            name: sorted(raw.execute(f"SELECT * FROM {name}").fetchall(), key=str) for name in names
        }
    raw.close()
    return found


def test_there_is_a_kept_store_of_every_schema_and_a_migration_to_it() -> None:
    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS))
    revisions = [r.revision for r in ScriptDirectory.from_config(config).walk_revisions()]
    assert tuple(reversed(revisions)) == SCHEMAS
    assert sorted(path.stem for path in KEPT.glob("*.sql")) == sorted(SCHEMAS)


@pytest.mark.parametrize("schema", SCHEMAS)
def test_an_older_store_is_brought_up_to_date_with_everything_in_it(
    schema: str, tmp_path: Path, clock: Clock, mower: RuleBase, mower_assessor: Assessor
) -> None:
    path = old_store(schema, tmp_path)
    store = open_store(at_path(path), clock)
    book = CaseBook(store, mower)
    assert check_everything(store, mower)["case_entries"] == 13
    closed = book.read(1)
    assert closed.folded.closed is not None
    assert (closed.folded.closed.outcome, closed.folded.closed.cause) == ("proven", "stale-fuel")
    assert closed.folded.first_forecast is not None
    assert BikeBook(store).read("old mower (INVENTED)").total_hours == 2
    found = list_cases(store, CaseFilter(text="shakes"))
    assert [row.id for row in found.rows] == [2]
    assert list_cases(store, CaseFilter(outcome="proven")).rows[0].cause == "stale-fuel"
    book.record(book.read(2), book.read(2).case.with_event(Noted("goes on")))
    assert relearn(book, mower_assessor) == 1
    assert read_lessons(store, "mower")[0].states["tank-look"] == "stale"
    store.close()
    backups = [p for p in tmp_path.iterdir() if p != path]
    if schema == SCHEMAS[-1]:
        assert backups == []
        return
    assert [
        p.name.startswith(f"{schema}.sqlite.before-{schema}-was-changed-") for p in backups
    ] == [True]
    (tmp_path / "again").mkdir()
    assert rows_of(backups[0]) == rows_of(old_store(schema, tmp_path / "again"))


def test_a_shop_of_the_version_before_is_chained_as_it_stands(
    tmp_path: Path, clock: Clock, offroad: RuleBase
) -> None:
    path = tmp_path / "shop.sqlite"
    with closing(sqlite3.connect(path)) as raw:
        raw.executescript((KEPT / "shop" / "0003.sql").read_text(encoding="utf-8"))
        before = {
            table: raw.execute(f"SELECT seq, at, kind, body FROM {table}").fetchall()
            for table in ("bike_entries", "case_entries", "trainee_entries")
        }
    store = open_store(at_path(path), clock)
    looked = look_through(store, offroad)
    assert looked.damage == ()
    assert (looked.sizes["bikes"], looked.sizes["cases"]) == (2, 3)
    store.close()
    with closing(sqlite3.connect(path)) as raw:
        for table, rows in before.items():
            assert raw.execute(f"SELECT seq, at, kind, body FROM {table}").fetchall() == rows
            assert all(chain for (chain,) in raw.execute(f"SELECT chain FROM {table}"))
        with raw:
            raw.execute(_DATED_ANEW)
    (damage,) = look_through(open_store(at_path(path), clock), offroad).damage
    assert (damage.where, damage.what) == ("case 3", "changed since it was written: entry 2")


def test_a_migration_that_fails_leaves_the_store_as_it_was(
    tmp_path: Path, clock: Clock, monkeypatch: pytest.MonkeyPatch
) -> None:
    from diagnose.records.store import opening

    path = old_store("0001", tmp_path)
    with sqlite3.connect(path) as raw:
        before = list(raw.iterdump())
    raw.close()
    whole = opening.upgrade

    def half(connection: object) -> None:
        whole(connection)  # type: ignore[arg-type]
        raise KeyboardInterrupt

    monkeypatch.setattr(opening, "upgrade", half)
    with pytest.raises(KeyboardInterrupt):
        open_store(at_path(path), clock)
    with sqlite3.connect(path) as raw:
        assert list(raw.iterdump()) == before
    raw.close()


def test_an_upgrade_that_was_killed_after_its_backup_goes_on_within_the_same_second(
    tmp_path: Path, mower: RuleBase, monkeypatch: pytest.MonkeyPatch
) -> None:
    from diagnose.records.store import opening

    def killed(connection: object) -> None:
        raise KeyboardInterrupt

    path = old_store("0001", tmp_path)
    stands = lambda: datetime(2026, 5, 1, tzinfo=UTC)  # noqa: E731
    with monkeypatch.context() as patched:
        patched.setattr(opening, "upgrade", killed)
        for _ in range(2):
            with pytest.raises(KeyboardInterrupt):
                open_store(at_path(path), stands)
    store = open_store(at_path(path), stands)
    assert check_everything(store, mower)["case_entries"] == 13
    store.close()
    backups = sorted(p for p in tmp_path.iterdir() if p != path)
    assert len(backups) == 3
    assert all(rows_of(backup) == rows_of(backups[0]) for backup in backups)


def test_the_tables_in_python_are_those_the_migrations_make(store: Store) -> None:
    with store.reading() as connection:
        assert compare_metadata(MigrationContext.configure(connection), METADATA) == []
