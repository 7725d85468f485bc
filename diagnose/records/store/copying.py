"""Copy the rows of one database into another, and a whole store into a new file."""

from __future__ import annotations

import contextlib
import os
from dataclasses import replace
from pathlib import Path

from sqlalchemy import URL, Connection, MetaData, create_engine, select
from sqlalchemy.exc import IntegrityError

from diagnose.records.store.place import UNREADY, at_path, clear_leftovers
from diagnose.records.store.store import translated
from diagnose.records.store.store_problems import DamagedStore, UnwritableStore

_ROWS = 2000  # held in memory at once


def copy_out(connection: Connection, path: Path, alias: str = "") -> None:
    """Every table of an open transaction, as it stands, into a new file. Raises `StoreProblem`,
    which calls the file `alias` where there is one.

    The file is written whole or not at all. A file already there is not overwritten.
    """
    place = replace(at_path(path), alias=alias)
    if path.exists():
        raise UnwritableStore(f"{place}: there is a file of that name already")
    unready = path.with_name(f"{UNREADY}{os.getpid()}-{path.name}")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        clear_leftovers(path.parent)
        unready.unlink(missing_ok=True)  # in a container, every program may have the same number
        found = MetaData()
        found.reflect(connection)
        for column in (column for table in found.tables.values() for column in table.columns):
            column.server_default = None  # its SQL is that of one kind of database
        engine = create_engine(URL.create("sqlite", database=str(unready)))
        try:
            with translated(place), engine.begin() as target:
                found.create_all(target)
                copy_rows(connection, target, found)
        finally:
            engine.dispose()
        _flush(unready)
        unready.rename(path)
        _flush(path.parent)
    except OSError as error:
        raise UnwritableStore(f"{place}: {error.strerror or error}") from error
    except IntegrityError as error:  # rows that no store of ours would have taken
        raise DamagedStore(
            f"{place}: not written, since the store to copy is damaged ({error.orig}); "
            "`badride check-store` lists what is, and a backup from before may have it"
        ) from error
    finally:
        with contextlib.suppress(OSError):
            unready.unlink(missing_ok=True)


def copy_rows(source: Connection, target: Connection, tables: MetaData) -> None:
    """Every row of `tables` from one open transaction into another. The tables must exist there."""
    for table in tables.sorted_tables:
        rows = source.execute(select(table)).mappings()
        while chunk := rows.fetchmany(_ROWS):
            target.execute(table.insert(), [dict(row) for row in chunk])


def _flush(path: Path) -> None:
    """Wait until a file, or the entries of a folder, are on the disk."""
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
