"""Backup and restore: the whole store as one SQLite file, whatever database it lives in."""

from __future__ import annotations

import contextlib
import os
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import Connection, func, select
from sqlalchemy.exc import SQLAlchemyError

from diagnose.records.store.chain.damage import Damage, damage_in
from diagnose.records.store.copying import copy_out, copy_rows
from diagnose.records.store.opening import open_store, schema_of
from diagnose.records.store.place import UNREADY, at_path
from diagnose.records.store.store import Store, connect, translated
from diagnose.records.store.store_problems import DamagedStore, StoreProblem, UnwritableStore
from diagnose.records.store.tables import METADATA, SCHEMAS
from diagnose.records.store.times import Clock


def back_up(store: Store, path: Path) -> dict[str, int]:
    """Write a backup file. Returns how many rows of each table it holds. Raises `StoreProblem`."""
    with store.reading() as connection:
        if connection.dialect.name == "postgresql":
            connection.exec_driver_sql("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ")
        copy_out(connection, path)
        return _sizes(connection)


def sound_backup(path: Path) -> None:
    """Raises `StoreProblem` for a file that is missing, damaged, newer or not a backup."""
    place = at_path(path)
    engine = connect(place, create=False)
    try:
        with translated(place), engine.connect() as connection, connection.begin():
            if schema_of(place, connection) is None:
                raise StoreProblem(f"{path}: there is nothing in this file")
    finally:
        engine.dispose()


@dataclass(frozen=True, slots=True)
class Restored:
    """What a restore put in: how many rows of each table, what of them is damaged, and whether the
    backup was `chained` when it was written, so that damage would show."""

    sizes: dict[str, int]
    damage: tuple[Damage, ...]
    chained: bool


def restore(store: Store, path: Path, *, damaged: bool = False) -> Restored:
    """Put a backup's rows into an empty store, and verify them. Raises `StoreProblem`.

    A backup of an older schema is brought up to date in a copy first; the file stays as it is. One
    in which entries are missing or were changed is only taken with `damaged`.
    """
    with _temporary_folder() as folder:
        copy = folder / "copy.sqlite"
        with _as_a_backup(path, copy):
            older, version = _opened_copy(path, copy, store.now)
        try:
            with _as_a_backup(path, copy), older.reading() as rows, store.writing() as target:
                held = _sizes(target)
                if any(held.values()):
                    raise StoreProblem(
                        f"{store.place}: this store already holds {held['bikes']} bikes and "
                        f"{held['cases']} cases; restore into an empty one (--store NEWFILE)"
                    )
                copy_rows(rows, target, METADATA)
                found = tuple(damage_in(target))
                if found and not damaged:
                    listed = "\n".join(f"  {one.where}: {one.what}" for one in found)
                    raise DamagedStore(
                        f"{path}: this backup is damaged, and nothing was restored:\n{listed}\n"
                        "Another backup may be whole. `--damaged` takes this one as it is"
                    )
                return Restored(_sizes(target), found, version == SCHEMAS[-1])
        finally:
            older.close()


@contextlib.contextmanager
def _temporary_folder() -> Iterator[Path]:
    try:
        folder = tempfile.TemporaryDirectory(prefix=f"{UNREADY}{os.getpid()}-")
    except OSError as error:
        raise UnwritableStore(
            f"no temporary file can be made ({error.strerror or error}); nothing was restored"
        ) from error
    with folder as name:
        yield Path(name)


def _opened_copy(path: Path, copy: Path, clock: Clock) -> tuple[Store, str | None]:
    """A copy of a backup as an open store, with every column that a store has, and the schema that
    the backup was written with."""
    source = connect(at_path(path), create=False)
    try:
        with translated(at_path(path)), source.connect() as connection, connection.begin():
            version = schema_of(at_path(path), connection)
            copy_out(connection, copy)
    finally:
        source.dispose()
    store = open_store(at_path(copy), clock)
    try:
        with store.reading() as connection:
            for table in METADATA.sorted_tables:
                connection.execute(select(table).limit(1)).all()
    except BaseException:
        store.close()
        raise
    return store, version


@contextlib.contextmanager
def _as_a_backup(path: Path, copy: Path) -> Iterator[None]:
    """Problems inside name the backup file, not its copy. Raises `StoreProblem`."""
    try:
        yield
    except StoreProblem as problem:
        raise type(problem)(str(problem).replace(str(copy), str(path))) from problem
    except SQLAlchemyError as error:
        reason = getattr(error, "orig", None) or error
        raise DamagedStore(
            f"{path}: it is not built like a badride backup ({' '.join(str(reason).split())}); "
            "nothing was restored"
        ) from error


def _sizes(connection: Connection) -> dict[str, int]:
    return {
        table.name: connection.execute(select(func.count()).select_from(table)).scalar_one()
        for table in METADATA.sorted_tables
    }
