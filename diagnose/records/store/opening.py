"""Open a store: make it, bring it up to date, or say why not."""

from __future__ import annotations

import contextlib
import tempfile
from pathlib import Path

import platformdirs
from sqlalchemy import Connection, Engine, inspect, text

from diagnose.records.store.copying import copy_out
from diagnose.records.store.place import MEMORY, Place, clear_leftovers
from diagnose.records.store.store import WRITING, Store, connect, connect_memory, translated
from diagnose.records.store.store_problems import DamagedStore, NewerStore, NoStore
from diagnose.records.store.tables import METADATA, SCHEMAS
from diagnose.records.store.times import Clock, written

_LOCK = 0x62616472  # any number of our own, the same in every process
_MOST_BACKUPS = 100  # of one moment
MIGRATIONS = Path(__file__).parent / "migrations"


def open_store(place: Place, clock: Clock, *, create: bool = False) -> Store:
    """The store at `place`, on the newest schema.

    An older store is brought up to date after a backup of it has been written, and copies that
    killed programs left behind are removed. Raises `NoStore`
    where there is none and `create` is not set, `NewerStore` and `DamagedStore` without touching
    the file, and other `StoreProblem`s.
    """
    engine = connect(place, create=create)
    if place.path is not None:
        clear_leftovers(place.path.parent)
        with contextlib.suppress(OSError):  # where there is no room for temporary files
            clear_leftovers(Path(tempfile.gettempdir()))
    store = Store(place, engine, clock)
    try:
        with store.reading() as connection:
            version = schema_of(place, connection)
        if version is None and not create:
            raise NoStore(f"{place}: there is no store here yet")
        if version != SCHEMAS[-1]:
            _bring_up_to_date(place, engine, clock)
    except BaseException:
        engine.dispose()
        raise
    return store


def open_memory(clock: Clock) -> Store:
    """A new store in memory, gone when the process ends."""
    engine = connect_memory()
    METADATA.create_all(engine)
    return Store(MEMORY, engine, clock)


def schema_of(place: Place, connection: Connection) -> str | None:
    """The schema version found, None for an empty database. Raises `NewerStore`, `DamagedStore`."""
    found = set(inspect(connection).get_table_names())
    if not found:
        return None
    if "alembic_version" not in found or "case_entries" not in found:
        raise DamagedStore(
            f"{place}: this database holds something else (tables {', '.join(sorted(found)[:4])}), "
            "not a badride store. It was left as it is"
        )
    versions = connection.execute(text("SELECT version_num FROM alembic_version")).scalars().all()
    if len(versions) != 1:
        raise DamagedStore(f"{place}: the store does not say which version it is")
    version = str(versions[0])
    if version not in SCHEMAS:
        raise NewerStore(
            f"{place}: a newer badride wrote this (schema {version}; this one knows up to "
            f"{SCHEMAS[-1]}). It was left as it is; update badride"
        )
    return version


def _bring_up_to_date(place: Place, engine: Engine, clock: Clock) -> None:
    with translated(place), engine.connect() as plain:
        connection = plain.execution_options(**WRITING)
        with connection.begin():
            if connection.dialect.name == "postgresql":
                connection.execute(text("SELECT pg_advisory_xact_lock(:key)"), {"key": _LOCK})
            version = schema_of(place, connection)  # another process may have been first
            if version == SCHEMAS[-1]:
                return
            if version is not None:
                backup = backup_path(place, version, written(clock()))
                copy_out(connection, backup, place.alias and f"the copy of {place}")
            upgrade(connection)


def upgrade(connection: Connection, to: str = "head") -> None:
    """Run the migrations on `connection`, inside its transaction."""
    from alembic import command  # noqa: PLC0415  # slow to import and seldom needed
    from alembic.config import Config  # noqa: PLC0415

    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS).replace("%", "%%"))
    config.attributes["connection"] = connection
    command.upgrade(config, to)


def backup_path(place: Place, version: str, stamp: str) -> Path:
    """Where an older store is backed up before it is changed: beside its file, or in the user's
    data folder where it has none. There is no file of that name yet."""
    if place.path is not None:
        folder, of = place.path.parent, place.path.name
    else:
        folder, of = Path(platformdirs.user_data_dir("badride", appauthor=False)), "store"
    name = f"{of}.before-{version}-was-changed-{stamp[:19].replace(':', '')}Z"
    # one may be there from an upgrade killed within this second, or a clock that stood here before
    endings = ("", *(f"-{number}" for number in range(2, _MOST_BACKUPS)))
    paths = [folder / f"{name}{ending}.sqlite" for ending in endings]
    return next((path for path in paths if not path.exists()), paths[0])
