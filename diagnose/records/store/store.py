"""Connections to the database: transactions, and its errors in words."""

from __future__ import annotations

import contextlib
import sqlite3
from collections.abc import Iterator
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Engine, QueuePool, create_engine, event
from sqlalchemy.exc import (
    ArgumentError,
    DBAPIError,
    IntegrityError,
    NoSuchModuleError,
    OperationalError,
)

from diagnose.records.store.place import POSTGRESQL, Place
from diagnose.records.store.store_problems import (
    DamagedStore,
    NoStore,
    StoreProblem,
    UnwritableStore,
)
from diagnose.records.store.times import Clock, written
from rules import extras
from rules.problems import BadInput

_WAIT_SECONDS = 20
WRITING = {"badride_writing": True}


class Store:
    """A database that is known to hold the newest schema. Safe to share between threads."""

    def __init__(self, place: Place, engine: Engine, clock: Clock) -> None:
        self.place = place
        self.engine = engine
        self._clock = clock

    def now(self) -> datetime:
        """The current moment, with its time zone."""
        return self._clock()

    def stamp(self) -> str:
        """The current moment as the store writes it."""
        return written(self._clock())

    @contextlib.contextmanager
    def reading(self) -> Iterator[Connection]:
        """A transaction that only reads. Raises `StoreProblem`."""
        with translated(self.place), self.engine.connect() as connection, connection.begin():
            yield connection

    @contextlib.contextmanager
    def writing(self) -> Iterator[Connection]:
        """A transaction that is on disk when the block is left, or not at all.

        Raises `StoreProblem`. An `IntegrityError` is left to the caller, who knows what it means.
        """
        with translated(self.place), self.engine.connect() as plain:
            connection = plain.execution_options(**WRITING)
            with connection.begin():
                yield connection

    def close(self) -> None:
        """Close every connection to the database."""
        self.engine.dispose()


def connect(place: Place, *, create: bool) -> Engine:
    """An engine for `place`; with `create`, makes the file's folder.

    Raises `StoreProblem`, and `BadInput` for an address that is not a usable database.
    """
    if place.path is not None:
        return _sqlite(place, create)
    if place.url.startswith(POSTGRESQL):
        extras.require("postgres")
    try:
        return create_engine(place.url, pool_pre_ping=True)
    except (ArgumentError, NoSuchModuleError, ImportError) as error:
        raise BadInput(
            f"{place} is not a database address; write a file name, sqlite:///FILE or "
            f"postgresql://USER@HOST/NAME ({error})"
        ) from error


def _sqlite(place: Place, create: bool) -> Engine:
    path = place.path
    assert path is not None
    if create:
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise UnwritableStore(
                f"{place}: its folder cannot be made ({error.strerror or error}); the store can be "
                "elsewhere (--store FILE, or BADRIDE_STORE)"
            ) from error
    elif not path.exists():
        raise NoStore(f"{path}: there is no store here yet")
    mode = "rwc" if create else "rw"

    def open_file() -> sqlite3.Connection:
        return sqlite3.connect(
            f"{path.absolute().as_uri()}?mode={mode}",
            uri=True,
            timeout=_WAIT_SECONDS,
            isolation_level=None,
            check_same_thread=False,
        )

    engine = create_engine("sqlite://", creator=open_file, poolclass=QueuePool)
    _prepare(engine)
    return engine


def connect_memory() -> Engine:
    """An engine whose database lasts as long as the process; threads share its one connection."""

    def open_memory() -> sqlite3.Connection:
        return sqlite3.connect(":memory:", isolation_level=None, check_same_thread=False)

    engine = create_engine(
        "sqlite://", creator=open_memory, poolclass=QueuePool, pool_size=1, max_overflow=0
    )
    _prepare(engine)
    return engine


def _prepare(engine: Engine) -> None:
    event.listen(engine, "connect", _set_up)
    event.listen(engine, "begin", _begin)


def _set_up(connection: Any, _record: Any) -> None:
    cursor = connection.cursor()
    # no WAL, so one file that can be copied; a commit survives a power cut, also in a new folder
    cursor.execute("PRAGMA synchronous=EXTRA")
    cursor.execute("PRAGMA foreign_keys=ON")
    cursor.close()


def _begin(connection: Connection) -> None:
    # a writer locks at once: two that read first and write later would block each other
    writing = connection.get_execution_options().get("badride_writing")
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writing else "BEGIN")


@contextlib.contextmanager
def translated(place: Place) -> Iterator[None]:
    """Database errors inside become `StoreProblem`s that say what to do."""
    try:
        yield
    except IntegrityError:
        raise
    except DBAPIError as error:
        raise _problem(place, error) from error
    except sqlite3.Error as error:
        raise _words(place, str(error)) from error
    except OverflowError as error:  # SQLite raises this for a number of over 64 bits
        raise StoreProblem("nothing in the store has so large a number") from error
    except UnicodeDecodeError as error:  # a damaged table definition, quoted in SQLite's message
        raise _words(place, "malformed") from error
    except UnicodeEncodeError as error:
        raise StoreProblem(f"{error.object!r} has characters that cannot be stored") from error


def _problem(place: Place, error: DBAPIError) -> StoreProblem:
    reason = " ".join(str(error.orig).split())
    if place.path is None and isinstance(error, OperationalError):
        return _told(StoreProblem, place, "the database cannot be reached or refused", reason)
    return _words(place, reason)


_MEANINGS: tuple[tuple[tuple[str, ...], type[StoreProblem], str], ...] = (
    (("full", "no space"), UnwritableStore, "the disk is full, and nothing more was written"),
    (
        ("readonly", "read-only"),
        UnwritableStore,
        "this place is read-only, and nothing was written",
    ),
    (
        ("locked",),
        UnwritableStore,
        f"another program has held the store for {_WAIT_SECONDS} s; try again",
    ),
    (
        ("unable to open",),
        UnwritableStore,
        "the file cannot be opened or made; look at its folder and its rights",
    ),
    (
        ("malformed", "not a database", "corrupt"),
        DamagedStore,
        "the file is torn or is no badride store. It was left as it is; bring back a backup with "
        "`badride restore`, or name another file",
    ),
    (("disk i/o",), UnwritableStore, "the disk refused; what was being written is not kept"),
)


def _words(place: Place, reason: str) -> StoreProblem:
    low = reason.lower()
    for signs, kind, meaning in _MEANINGS:
        if any(sign in low for sign in signs):
            return _told(kind, place, meaning, reason)
    return _told(StoreProblem, place, "the database refused", reason)


def _told(kind: type[StoreProblem], place: Place, meaning: str, reason: str) -> StoreProblem:
    # whoever is not to know the place is told no reason: it may name address, folder and user
    why = "`badride self-check` on its computer says why" if place.alias else reason
    return kind(f"{place}: {meaning} ({why})")
