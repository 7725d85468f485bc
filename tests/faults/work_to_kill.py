"""Work that is killed at any moment, in a process of its own, and what must stand afterwards."""

from __future__ import annotations

import os
import random
import signal
import sqlite3
import time
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

from diagnose.case.events import Case, Complained, Noted
from diagnose.records.bikes.bike_book import BikeBook
from diagnose.records.cases.case_book import CaseBook
from diagnose.records.store.backup import back_up, restore
from diagnose.records.store.opening import open_store
from diagnose.records.store.place import Place, at_path
from diagnose.records.store.store import Store
from diagnose.training.records.store_check import check_everything
from rules.rulebase import RuleBase
from tests.places import STORES

CASES = 12
NOTES = 8


def now() -> datetime:
    return datetime.now(UTC)


def opened(where: Path | Place, *, create: bool = False) -> Store:
    return open_store(at_path(where) if isinstance(where, Path) else where, now, create=create)


def fill(store: Store, rules: RuleBase) -> None:
    """Bikes and cases, so that there is something to copy."""
    book = CaseBook(store, rules)
    for number in range(CASES):
        BikeBook(store).add(f"Demo {number}", [])
        kept = book.begin(Case(events=(Complained("no-start"),)), f"Demo {number}")
        for word in range(NOTES):
            kept = book.record(kept, kept.case.with_event(Noted(f"note {word}")))


def backup_is_whole_or_not_there(folder: Path, rules: RuleBase) -> bool:
    path = folder / "again.sqlite"
    if path.exists():
        with closing(opened(path)) as store:
            assert check_everything(store, rules)["cases"] == CASES
    with closing(opened(folder / "store.sqlite")) as store:
        assert check_everything(store, rules)["cases"] == CASES
    return path.exists()


def do_backup(folder: Path) -> None:
    with closing(opened(folder / "store.sqlite")) as store:
        back_up(store, folder / "again.sqlite")


def do_restore(folder: Path) -> None:
    with closing(opened(folder / "new.sqlite", create=True)) as store:
        restore(store, folder / "backup.sqlite")


def restored_whole_or_empty(folder: Path, rules: RuleBase) -> bool:
    with closing(opened(folder / "new.sqlite", create=True)) as store:
        held = check_everything(store, rules)
        if held["cases"] == 0:
            assert held["bikes"] == held["case_entries"] == 0
            restore(store, folder / "backup.sqlite")
            assert check_everything(store, rules)["cases"] == CASES
            return False
        assert held["cases"] == CASES
    return True


def do_upgrade(folder: Path) -> None:
    opened(folder / "old.sqlite").close()


def upgraded_with_all_in_it(folder: Path, rules: RuleBase) -> bool:
    with closing(sqlite3.connect(folder / "old.sqlite")) as raw:
        (schema,) = raw.execute("SELECT version_num FROM alembic_version").fetchone()
    with closing(opened(folder / "old.sqlite")) as store:
        assert check_everything(store, rules)["case_entries"] == 13
    backups = list(folder.glob("old.sqlite.before-*"))
    assert backups
    for backup in backups:
        with closing(opened(backup)) as store:
            assert check_everything(store, rules)["case_entries"] == 13
    return bool(schema != "0001")


def make_sound(folder: Path, rules: RuleBase) -> None:
    """A filled store, its backup, and a store of the first schema."""
    folder.mkdir()
    with closing(opened(folder / "store.sqlite", create=True)) as store:
        fill(store, rules)
        back_up(store, folder / "backup.sqlite")
    with closing(sqlite3.connect(folder / "old.sqlite")) as raw:
        raw.executescript((STORES / "0001.sql").read_text(encoding="utf-8"))


Look = Callable[[Path, RuleBase], bool]
WORK: dict[str, tuple[Callable[[Path], None], Look]] = {
    "backup": (do_backup, backup_is_whole_or_not_there),
    "restore": (do_restore, restored_whole_or_empty),
    "upgrade": (do_upgrade, upgraded_with_all_in_it),
}
"""What is done, and what stands after it was killed: it returns whether the work had come to its
end."""


def _begun(work: Callable[[], None]) -> int:
    """`work` in a process of its own; its number."""
    pid = os.fork()
    if pid == 0:
        status = 1
        try:
            work()
            status = 0
        finally:
            os._exit(status)
    return pid


def killed_after(work: Callable[[], None], seconds: float) -> bool:
    """Do `work` in a process and kill it after so long; whether it had ended by itself before."""
    pid = _begun(work)
    time.sleep(seconds)
    os.kill(pid, signal.SIGKILL)
    _, ended = os.waitpid(pid, 0)
    assert os.WIFSIGNALED(ended) or os.WEXITSTATUS(ended) == 0
    return not os.WIFSIGNALED(ended)


def how_long(work: Callable[[], None]) -> float:
    """Seconds that the work takes in a process of its own."""
    begun = time.perf_counter()
    _, ended = os.waitpid(_begun(work), 0)
    assert os.WEXITSTATUS(ended) == 0
    return time.perf_counter() - begun


def moments(longest: float, count: int, seed: int) -> list[float]:
    """Moments at random, evenly over the work and a little beyond its end."""
    chance = random.Random(seed)
    return [chance.uniform(0, longest * 1.1) for _ in range(count)]
