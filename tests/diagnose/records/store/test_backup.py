"""Backup, restore and export."""

from __future__ import annotations

import csv
import io
import json
import os
import re
import sqlite3
import subprocess
import sys
import tempfile
import threading
from collections.abc import Callable
from contextlib import closing
from datetime import datetime
from pathlib import Path

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.case.events import Answered, Case, Complained, Corrected, Noted, Rode
from diagnose.records.bikes.bike_book import BikeBook
from diagnose.records.bikes.bike_journal import RideEntry
from diagnose.records.cases.case_book import CaseBook
from diagnose.records.cases.closing import close, weigh_closing
from diagnose.records.cases.exporting import COLUMNS, export_csv, export_json
from diagnose.records.file_writing import write_bytes, write_text
from diagnose.records.learning.lessons import read_lessons
from diagnose.records.store.backup import back_up, restore, sound_backup
from diagnose.records.store.opening import open_store
from diagnose.records.store.place import at_path
from diagnose.records.store.store import Store
from diagnose.records.store.store_problems import DamagedStore, StoreProblem, UnwritableStore
from diagnose.training.records.store_check import check_everything
from rules.rulebase import RuleBase
from rules.units.quantities import Quantity
from tests.places import ROOT, STORES

Clock = Callable[[], datetime]


@pytest.fixture
def filled(book: CaseBook, bikes: BikeBook, mower_assessor: Assessor) -> CaseBook:
    bikes.add("=Demo", [RideEntry(on=datetime(2026, 5, 1).date(), hours=2)])
    reading = Answered("plug-gap-reading", reading=Quantity(0.7, "mm"))
    case = Case(
        {"size": "large"}, {}, (Complained("no-start"), Answered("tank-look", "stale"), reading)
    )
    kept = book.begin(case, "=Demo")
    for event in (Corrected("fill-up"), Rode("gone"), Noted("a, \"b\"\n; 'c'")):
        kept = book.record(kept, kept.case.with_event(event))
    close(book, mower_assessor, kept, weigh_closing(book.rules, kept, cause="stale-fuel"))
    book.begin(Case(events=(Complained("vibration", "deck"),)))
    return book


def test_a_backup_restores_to_the_same_store(
    filled: CaseBook, tmp_path: Path, clock: Clock, mower: RuleBase
) -> None:
    path = tmp_path / "deep" / "backup.sqlite"
    sizes = back_up(filled.store, path)
    assert (sizes["bikes"], sizes["cases"], sizes["lessons"]) == (1, 2, 1)
    fresh = open_store(at_path(tmp_path / "fresh.sqlite"), clock, create=True)
    restored = restore(fresh, path)
    assert (restored.sizes, restored.damage, restored.chained) == (sizes, (), True)
    again = CaseBook(fresh, mower)
    for number in (1, 2):
        assert again.read(number) == filled.read(number)
    assert BikeBook(fresh).read("=demo") == BikeBook(filled.store).read("=demo")
    assert read_lessons(fresh, "mower") == read_lessons(filled.store, "mower")
    assert again.begin(Case(events=(Complained("no-start"),))).id == 3
    assert [p.name for p in path.parent.iterdir()] == ["backup.sqlite"]


def test_a_backup_opens_as_a_store_of_its_own(
    filled: CaseBook, tmp_path: Path, clock: Clock, mower: RuleBase
) -> None:
    back_up(filled.store, tmp_path / "backup.sqlite")
    assert CaseBook(open_store(at_path(tmp_path / "backup.sqlite"), clock), mower).read(
        1
    ) == filled.read(1)


def test_nothing_that_is_there_is_overwritten(filled: CaseBook, tmp_path: Path) -> None:
    path = tmp_path / "backup.sqlite"
    back_up(filled.store, path)
    before = path.read_bytes()
    with pytest.raises(UnwritableStore, match="a file of that name"):
        back_up(filled.store, path)
    with pytest.raises(StoreProblem, match="already holds 1 bikes and 2 cases"):
        restore(filled.store, path)
    assert path.read_bytes() == before
    assert filled.read(1).folded.closed is not None


def test_rows_that_no_store_takes_are_not_backed_up_and_said(
    filled: CaseBook, tmp_path: Path
) -> None:
    file = filled.store.place.path
    assert file is not None
    strict = "UPDATE sqlite_master SET sql = replace(sql, ?, ?) WHERE name = 'case_entries'"
    for words in (("at TEXT NOT NULL", "at TEXT"), ("at TEXT", "at TEXT NOT NULL")):
        with closing(sqlite3.connect(file)) as raw:
            raw.execute("PRAGMA writable_schema = ON")
            raw.execute(strict, words)
            raw.commit()
        if words[1] == "at TEXT":
            with closing(sqlite3.connect(file)) as raw:
                raw.execute("UPDATE case_entries SET at = NULL WHERE case_id = 1 AND seq = 2")
                raw.commit()
    filled.store.close()
    with pytest.raises(DamagedStore, match="the store to copy is damaged"):
        back_up(filled.store, tmp_path / "backup.sqlite")
    assert list(tmp_path.glob("*backup*")) == []


def test_a_torn_backup_is_refused_and_the_store_stays_empty(
    filled: CaseBook, tmp_path: Path, clock: Clock
) -> None:
    path = tmp_path / "backup.sqlite"
    back_up(filled.store, path)
    path.write_bytes(path.read_bytes()[:9000])
    fresh = open_store(at_path(tmp_path / "fresh.sqlite"), clock, create=True)
    with pytest.raises(DamagedStore):
        sound_backup(path)
    with pytest.raises(StoreProblem):
        restore(fresh, path)
    assert BikeBook(fresh).rows(archived=True) == []


@pytest.mark.parametrize(
    "statement",
    [
        "DROP TABLE cases",
        "ALTER TABLE cases DROP COLUMN title",
        "INSERT INTO case_entries VALUES (77, 1, 'x', 'y', '{}', '')",
        "CREATE TABLE extra (a, b BLOB)",
        "UPDATE alembic_version SET version_num = '0001'",
        "UPDATE alembic_version SET version_num = '0099'",
        "DELETE FROM alembic_version",
    ],
)
def test_a_file_that_is_built_otherwise_is_refused_by_name_and_nothing_is_restored(
    filled: CaseBook, tmp_path: Path, clock: Clock, statement: str
) -> None:
    path = tmp_path / "backup.sqlite"
    back_up(filled.store, path)
    with sqlite3.connect(path) as raw:
        raw.execute(statement)
    raw.close()
    before = path.read_bytes()
    fresh = open_store(at_path(tmp_path / "fresh.sqlite"), clock, create=True)
    with pytest.raises(StoreProblem, match=re.escape(str(path))):
        restore(fresh, path)
    assert path.read_bytes() == before
    assert BikeBook(fresh).rows(archived=True) == []


@pytest.mark.parametrize(
    ("statement", "message"),
    [
        ("UPDATE bikes SET changed_at = 'yesterday'", "'yesterday' where a moment belongs"),
        ("UPDATE cases SET opened_at = x'ff00'", "where a moment belongs"),
        ("UPDATE case_entries SET body = '{torn' WHERE seq = 1", "entry 1 of case 2"),
        ("UPDATE lessons SET states = '[1]'", "the lessons of cases [1]"),
        ("INSERT INTO shop VALUES ('learning-since', 'soon')", "'soon' where a moment belongs"),
    ],
)
def test_what_cannot_be_read_in_a_restored_store_is_named(
    filled: CaseBook, tmp_path: Path, clock: Clock, mower: RuleBase, statement: str, message: str
) -> None:
    path = tmp_path / "backup.sqlite"
    back_up(filled.store, path)
    with sqlite3.connect(path) as raw:
        raw.execute(statement)
    raw.close()
    fresh = open_store(at_path(tmp_path / "fresh.sqlite"), clock, create=True)
    restore(fresh, path, damaged=True)
    with pytest.raises(DamagedStore, match=re.escape(message)):
        check_everything(fresh, mower)


def test_an_older_backup_is_restored_and_left_as_it_is(
    tmp_path: Path, store: Store, mower: RuleBase
) -> None:
    path = tmp_path / "old.sqlite"
    with sqlite3.connect(path) as raw:
        raw.executescript((STORES / "0001.sql").read_text(encoding="utf-8"))
    raw.close()
    before = path.read_bytes()
    restored = restore(store, path)
    assert restored.sizes["case_entries"] == 13
    assert not restored.chained
    assert CaseBook(store, mower).read(1).folded.closed is not None
    assert path.read_bytes() == before


def test_csv_has_a_row_per_case_and_no_cell_that_a_spreadsheet_would_run(filled: CaseBook) -> None:
    rows = list(csv.DictReader(io.StringIO(export_csv(filled))))
    assert tuple(rows[0]) == COLUMNS
    assert [row["case"] for row in rows] == ["1", "2"]
    first = rows[0]
    assert first["bike"] == "'=Demo"
    assert (first["outcome"], first["cause"], first["last_ride"]) == (
        "proven",
        "stale-fuel",
        "gone",
    )
    assert first["answers"] == "tank-look=stale; plug-gap-reading=0.7 mm"
    assert rows[1]["complaints"] == "vibration/deck"


@pytest.mark.parametrize(
    ("name", "cell"),
    [
        ("=1+1", "'=1+1"),
        ("+1", "'+1"),
        ("-1", "'-1"),
        ("@SUM(A1)", "'@SUM(A1)"),
        ("\N{FULLWIDTH EQUALS SIGN}1", "'\N{FULLWIDTH EQUALS SIGN}1"),
        ("x;=1+1", "x;'=1+1"),
        ("x, =1+1", "x, '=1+1"),
        ("Demo-1", "Demo-1"),
        ("x=1", "x=1"),
        ('"q", \N{SNOWMAN}', '"q", \N{SNOWMAN}'),
    ],
)
def test_a_hostile_name_is_harmless_in_any_spreadsheet(
    book: CaseBook, bikes: BikeBook, name: str, cell: str
) -> None:
    bikes.add(name, [])
    book.begin(Case(events=(Complained("no-start"),)), name)
    (row,) = csv.DictReader(io.StringIO(export_csv(book)))
    assert row["bike"] == cell
    assert json.loads(export_json(book))["cases"][0]["bike"] == name


def test_json_holds_everything(filled: CaseBook) -> None:
    document = json.loads(export_json(filled))
    assert (document["format"], document["version"]) == ("badride-cases", 1)
    first = document["cases"][0]
    assert first["answers"] == {"tank-look": "stale", "plug-gap-reading": "0.7 mm"}
    assert first["machine"] == {"size": "large"}
    assert [entry["kind"] for entry in first["journal"]] == [
        "started", "complained", "answered", "answered", "corrected", "rode", "noted", "closed",
    ]  # fmt: skip


def test_what_is_no_file_is_written_to_and_a_link_is_followed(tmp_path: Path) -> None:
    """Putting a file in the place of a device would break the system of whoever may do so."""
    pipe, target, link = (tmp_path / name for name in ("pipe", "target", "link"))
    os.mkfifo(pipe)
    reader = threading.Thread(target=lambda: target.write_bytes(pipe.read_bytes()))
    reader.start()
    write_bytes(pipe, b"through")
    reader.join(timeout=10)
    assert pipe.is_fifo()
    link.symlink_to(target)
    assert target.read_bytes() == b"through"
    write_bytes(link, b"over")
    assert link.is_symlink()
    assert target.read_bytes() == b"over"
    with pytest.raises(UnwritableStore, match="nothing was written"):
        write_bytes(tmp_path, b"")
    assert sorted(p.name for p in tmp_path.iterdir()) == ["link", "pipe", "target"]


def test_a_name_with_a_question_mark_is_a_name(store: Store, tmp_path: Path) -> None:
    path = tmp_path / "mon?day.sqlite"
    back_up(store, path)
    assert [item.name for item in tmp_path.iterdir() if item.name.startswith("mon")] == [path.name]


def test_a_file_stays_as_private_as_it_was(tmp_path: Path) -> None:
    path = tmp_path / "card.md"
    path.write_text("old", encoding="utf-8")
    path.chmod(0o600)
    write_text(path, "new")
    assert (path.read_text(encoding="utf-8"), path.stat().st_mode & 0o777) == ("new", 0o600)
    mask = os.umask(0o027)
    try:
        write_text(tmp_path / "other.md", "new")
    finally:
        os.umask(mask)
    assert (tmp_path / "other.md").stat().st_mode & 0o777 == 0o640


def test_copies_that_a_killed_program_left_are_cleared_at_the_next_start(
    filled: CaseBook, tmp_path: Path, clock: Clock, monkeypatch: pytest.MonkeyPatch
) -> None:
    temporary, folder = tmp_path / "temporary", tmp_path / "kept"
    gone = subprocess.Popen([sys.executable, "-c", ""])
    gone.wait()
    for place in (temporary, folder):
        (place / f".badride-unready-{gone.pid}-x").mkdir(parents=True)
        (place / f".badride-unready-{gone.pid}-x" / "copy.sqlite").write_bytes(b"left")
        (place / f".badride-unready-{gone.pid}-a.sqlite-journal").write_bytes(b"left")
        (place / f".badride-unready-{os.getpid()}-b.sqlite").write_bytes(b"at work")
        (place / ".badride-unready-mine").write_bytes(b"named so by a person")
    kept = {f".badride-unready-{os.getpid()}-b.sqlite", ".badride-unready-mine"}
    monkeypatch.setattr(tempfile, "tempdir", str(temporary))
    open_store(at_path(folder / "store.sqlite"), clock, create=True).close()
    for place in (temporary, folder):
        assert {path.name for path in place.iterdir()} - {"store.sqlite"} == kept
    back_up(filled.store, folder / "backup.sqlite")
    assert {path.name for path in folder.iterdir()} == {"store.sqlite", "backup.sqlite", *kept}


def test_what_an_earlier_program_of_the_same_number_left_is_no_part_of_a_backup(
    filled: CaseBook, tmp_path: Path
) -> None:
    back_up(filled.store, tmp_path / "whole.sqlite")
    left = tmp_path / f".badride-unready-{os.getpid()}-backup.sqlite"
    left.write_bytes((tmp_path / "whole.sqlite").read_bytes())
    sizes = back_up(filled.store, tmp_path / "backup.sqlite")
    assert sizes["cases"] == 2
    assert not left.exists()


def test_files_that_a_killed_program_left_half_are_cleared_by_the_next_one_there(
    tmp_path: Path,
) -> None:
    half = (
        "import os; from pathlib import Path; from diagnose.records import file_writing\n"
        "file_writing.os.fsync = lambda number: os._exit(9)\n"
        "file_writing.write_text(Path('card.md'), 'Customer')\n"
    )
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    killed = subprocess.run(
        [sys.executable, "-c", half], cwd=tmp_path, env=environment, check=False
    )
    assert killed.returncode == 9
    (left,) = tmp_path.iterdir()
    assert left.read_text(encoding="utf-8") == "Customer"
    write_text(tmp_path / "other.md", "x")
    assert [path.name for path in tmp_path.iterdir()] == ["other.md"]


def test_a_file_may_have_the_longest_name_there_is(tmp_path: Path) -> None:
    write_text(tmp_path / ("a" * 255), "x")
    assert (tmp_path / ("a" * 255)).read_text(encoding="utf-8") == "x"


def test_a_largest_number_is_told_as_damage(filled: CaseBook, mower_assessor: Assessor) -> None:
    with filled.store.writing() as connection:
        connection.exec_driver_sql("PRAGMA defer_foreign_keys=on")
        connection.exec_driver_sql(
            f"INSERT INTO cases SELECT {2**63 - 1}, bike_id, title, complaints, state, outcome, "
            "pack, opened_at, changed_at, entries, head, search, cause, correction FROM cases LIMIT 1"
        )
    with pytest.raises(DamagedStore, match="no larger number"):
        filled.begin(Case({}, {}, (Complained("no-start"),)))
