"""What the program writes, done again and again while one call to the disk after the other fails.

Run with `failing_disk.c` loaded before libc, as `test_full_disk.py` does. Prints a JSON object: how
often a call failed, how often the work was refused for it, and what was wrong afterwards. It ends by
itself where one try hangs; how long all take depends on what else the machine does.
"""

from __future__ import annotations

import ctypes
import errno
import faulthandler
import json
import shutil
import sqlite3
import sys
import tempfile
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, date, datetime
from pathlib import Path

from diagnose.case.events import Answered, Case, Complained, Noted
from diagnose.records.bikes.bike_book import BikeBook
from diagnose.records.bikes.bike_journal import RideEntry
from diagnose.records.cases.case_book import CaseBook
from diagnose.records.file_writing import write_bytes
from diagnose.records.store.backup import back_up, restore
from diagnose.records.store.opening import open_store
from diagnose.records.store.place import at_path
from diagnose.records.store.store import Store
from diagnose.records.store.store_problems import StoreProblem
from diagnose.records.store.tables import SCHEMAS
from diagnose.training.records.store_check import check_everything
from rules.loading.loader import load_pack
from tests.places import MOWER, STORES

RULES = load_pack(MOWER)
SAID = (Answered("tank-look", "stale"), Noted("said second"), Noted("said third"))
OLD, NEW = b"old " * 3000, b"new " * 5000
MOST = 2_000
HANGING = 600  # seconds of one try, which takes half of one
WAYS = {
    "full once": (errno.ENOSPC, False),
    "full from then on": (errno.ENOSPC, True),
    "broken once": (errno.EIO, False),
    "broken from then on": (errno.EIO, True),
}


def now() -> datetime:
    return datetime.now(UTC)


def opened(path: Path, *, create: bool = False) -> Store:
    return open_store(at_path(path), now, create=create)


def make_sound(folder: Path) -> None:
    """What every piece of work finds: a store, a backup, an old store, and a written card."""
    with closing(opened(folder / "store.sqlite", create=True)) as store:
        BikeBook(store).add("Demo", [RideEntry(on=date(2026, 5, 1), hours=2)])
        CaseBook(store, RULES).begin(Case(events=(Complained("no-start"),)), "Demo")
        back_up(store, folder / "backup.sqlite")
    with closing(sqlite3.connect(folder / "old.sqlite")) as raw:
        raw.executescript((STORES / "0001.sql").read_text(encoding="utf-8"))
    (folder / "card.html").write_bytes(OLD)


# Each does one kind of work and gives back what looks at the disk afterwards. What the work has told
# to be kept is in `acknowledged` by then, also where it was refused half way.


def answering(folder: Path, acknowledged: list[object]) -> None:
    store = opened(folder / "store.sqlite")
    try:
        book = CaseBook(store, RULES)
        kept = book.read(1)
        for event in SAID:
            kept = book.record(kept, kept.case.with_event(event))
            acknowledged.append(event)
    finally:
        store.close()


def look_at_answers(folder: Path, acknowledged: list[object]) -> None:
    with closing(opened(folder / "store.sqlite")) as store:
        check_everything(store, RULES)
        there = CaseBook(store, RULES).read(1).case.events[1:]
        assert there == SAID[: len(there)]
        # the answer that was refused may stand where only the word that it is kept failed
        assert len(acknowledged) <= len(there) <= len(acknowledged) + 1


def beginning(folder: Path, acknowledged: list[object]) -> None:
    store = opened(folder / "new" / "store.sqlite", create=True)
    try:
        BikeBook(store).add("Demo", [])
        acknowledged.append("bike")
        CaseBook(store, RULES).begin(Case(events=(Complained("no-start"),)), "Demo")
        acknowledged.append("case")
    finally:
        store.close()


def look_at_beginning(folder: Path, acknowledged: list[object]) -> None:
    with closing(opened(folder / "new" / "store.sqlite", create=True)) as store:
        held = check_everything(store, RULES)
        assert held["bikes"] >= ("bike" in acknowledged)
        assert held["cases"] >= ("case" in acknowledged)


def backing_up(folder: Path, acknowledged: list[object]) -> None:
    with closing(opened(folder / "store.sqlite")) as store:
        back_up(store, folder / "again.sqlite")
        acknowledged.append("backup")


def look_at_backup(folder: Path, acknowledged: list[object]) -> None:
    with closing(opened(folder / "store.sqlite")) as store:
        assert check_everything(store, RULES)["cases"] == 1
    path = folder / "again.sqlite"
    assert path.exists() or not acknowledged
    if path.exists():
        with closing(opened(path)) as store:
            assert check_everything(store, RULES)["cases"] == 1


def restoring(folder: Path, acknowledged: list[object]) -> None:
    with closing(opened(folder / "new.sqlite", create=True)) as store:
        restore(store, folder / "backup.sqlite")
        acknowledged.append("restored")


def look_at_restored(folder: Path, acknowledged: list[object]) -> None:
    with closing(opened(folder / "new.sqlite", create=True)) as store:
        held = check_everything(store, RULES)
        assert (held["bikes"], held["cases"]) in {(0, 0), (1, 1)}
        assert held["cases"] == 1 or not acknowledged
        if not held["cases"]:
            restore(store, folder / "backup.sqlite")


def upgrading(folder: Path, acknowledged: list[object]) -> None:
    opened(folder / "old.sqlite").close()
    acknowledged.append("upgraded")


def look_at_upgraded(folder: Path, acknowledged: list[object]) -> None:
    with closing(sqlite3.connect(folder / "old.sqlite")) as raw:
        (schema,) = raw.execute("SELECT version_num FROM alembic_version").fetchone()
        # whole as it was or whole as it should be, before the next start has touched it
        assert schema in ({SCHEMAS[-1]} if acknowledged else {SCHEMAS[0], SCHEMAS[-1]})
        if schema == SCHEMAS[0]:
            with closing(sqlite3.connect(":memory:")) as first:
                first.executescript((STORES / "0001.sql").read_text(encoding="utf-8"))
                assert list(raw.iterdump()) == list(first.iterdump())
        else:
            assert list(folder.glob("old.sqlite.before-*.sqlite"))
    with closing(opened(folder / "old.sqlite")) as store:
        assert check_everything(store, RULES)["case_entries"] == 13
    for backup in folder.glob("old.sqlite.before-*.sqlite"):
        with closing(opened(backup)) as store:
            assert check_everything(store, RULES)["case_entries"] == 13


def drawing(folder: Path, acknowledged: list[object]) -> None:
    write_bytes(folder / "card.html", NEW)
    acknowledged.append("drawn")


def look_at_card(folder: Path, acknowledged: list[object]) -> None:
    assert (folder / "card.html").read_bytes() in ({NEW} if acknowledged else {OLD, NEW})


Work = Callable[[Path, list[object]], object]
WORK: dict[str, tuple[Work, Callable[[Path, list[object]], None]]] = {
    "answering": (answering, look_at_answers),
    "a new store": (beginning, look_at_beginning),
    "backup": (backing_up, look_at_backup),
    "restore": (restoring, look_at_restored),
    "upgrade": (upgrading, look_at_upgraded),
    "a card": (drawing, look_at_card),
}


def tried(disk: ctypes.CDLL, sound: Path, name: str, way: str, nth: int) -> tuple[bool, bool, str]:
    """Do the work while its nth call fails: whether it came to that call, whether it was refused,
    and what is wrong."""
    work, look = WORK[name]
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "here"
        shutil.copytree(sound, folder)
        acknowledged: list[object] = []
        refused, wrong = False, ""
        code, stays = WAYS[way]
        disk.fail_at(nth, code, stays)
        try:
            work(folder, acknowledged)
        except StoreProblem:
            refused = True
        except Exception as error:
            wrong = f"{type(error).__name__}: {error}"
        came = disk.calls_seen() >= nth
        disk.fail_at(0, 0, 0)
        try:
            look(folder, acknowledged)
        except Exception as error:
            wrong += f" then {type(error).__name__}: {error}"
        left = [path.name for path in folder.rglob("*") if path.name.endswith("-journal")]
        left += [path.name for path in folder.rglob(".*") if path.is_file()]
        # these are cleared when a program of another number starts
        left = [one for one in left if not one.startswith(".badride-unready-")]
        if left:
            wrong += f" left behind: {left}"
    return came, refused, wrong and f"{name}, {way}, call {nth}: {wrong}"


def main() -> None:
    """Called with the library that lets calls fail, and the kind of work."""
    disk, name = ctypes.CDLL(sys.argv[1]), sys.argv[2]
    failed = refusals = 0
    wrongs: list[str] = []
    with tempfile.TemporaryDirectory() as place:
        sound = Path(place) / "sound"
        sound.mkdir()
        make_sound(sound)
        for way in WAYS:
            for nth in range(1, MOST):
                faulthandler.dump_traceback_later(HANGING, exit=True)
                came, refused, wrong = tried(disk, sound, name, way, nth)
                wrongs += [wrong] if wrong else []
                if not came:
                    break
                failed += 1
                refusals += refused
    print(json.dumps({"failed": failed, "refused": refusals, "wrong": wrongs}))


if __name__ == "__main__":
    main()
