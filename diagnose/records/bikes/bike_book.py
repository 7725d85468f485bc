"""Bikes in the store: add one, add to its journal, read it back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from sqlalchemy import Connection, func, select, update
from sqlalchemy.exc import IntegrityError

from diagnose.records.bikes.bike import Bike, fold_bike
from diagnose.records.bikes.bike_journal import ArchivedEntry, BikeEntry, read_bike_entry
from diagnose.records.store.journals import (
    add_named,
    add_to_journal,
    read_journal,
    write_anew,
)
from diagnose.records.store.names import good_name
from diagnose.records.store.store import Store
from diagnose.records.store.store_problems import Clash, NotFound
from diagnose.records.store.tables import BIKE_ENTRIES, BIKES, CASES
from diagnose.records.store.times import read_moment, written
from rules.problems import BadInput
from rules.yaml_source import suggest


@dataclass(frozen=True, slots=True)
class BikeRow:
    """A bike in a list."""

    name: str
    archived: bool
    open_cases: int
    cases: int
    changed: date


class BikeBook:
    """The bikes of a store."""

    def __init__(self, store: Store) -> None:
        self._store = store

    def add(self, name: str, entries: Sequence[BikeEntry]) -> Bike:
        """Keep a new bike. Raises `BadInput` for a name that is taken or not allowed.

        What is returned does not say when its entries were recorded; `read` does.
        """
        name = good_name(name)

        def work(connection: Connection) -> Bike:
            taken = self._find(connection, name)
            if taken is not None:
                raise BadInput(f"there is a bike {taken[1]!r} already; edit it, or rename")
            at = self._store.now()
            number = add_named(connection, BIKES, name, at)
            dated = [(entry, at) for entry in entries]
            add_to_journal(connection, BIKE_ENTRIES, {"bike_id": number}, 0, dated)
            return fold_bike(name, entries)

        return write_anew(self._store, work, "no number was free for the new bike; try again")

    def read(self, name: str) -> Bike:
        """A bike by its name, in capitals or not. Raises `NotFound`, `StoreProblem`."""
        with self._store.reading() as connection:
            return self._read(connection, name)[1]

    def append(self, name: str, entries: Sequence[BikeEntry], seen: int | None = None) -> Bike:
        """Add entries to a bike's journal; they are on disk when this returns.

        With `seen`, raises `Clash` when the journal has grown beyond that version meanwhile.
        """

        def work(connection: Connection) -> Bike:
            number, bike, before = self._read(connection, name)
            if seen is not None and bike.version != seen:
                raise Clash(
                    f"another terminal has changed {bike.name} meanwhile; nothing of "
                    "either is lost. Look at it again"
                )
            at = self._store.now()
            dated = [(entry, at) for entry in entries]
            add_to_journal(connection, BIKE_ENTRIES, {"bike_id": number}, bike.version, dated)
            after = fold_bike(bike.name, [*before, *entries])
            connection.execute(
                update(BIKES)
                .where(BIKES.c.id == number)
                .values(changed_at=written(at), archived=int(after.archived))
            )
            return after

        return write_anew(
            self._store, work, f"{name} is being written by others all the time; try again"
        )

    def rename(self, name: str, new: str) -> None:
        """Give a bike another name. Raises `BadInput` where it is taken, `NotFound`."""
        new = good_name(new)
        try:
            with self._store.writing() as connection:
                number, _, _ = self._read(connection, name)
                connection.execute(
                    update(BIKES)
                    .where(BIKES.c.id == number)
                    .values(name=new, name_key=new.casefold(), changed_at=self._store.stamp())
                )
        except IntegrityError:
            raise BadInput(f"there is a bike {new!r} already") from None

    def archive(self, name: str, archived: bool = True) -> Bike:
        """Archive a bike, or bring it back; nothing is deleted."""
        return self.append(name, [ArchivedEntry(archived=archived)])

    def rows(self, *, archived: bool = False) -> list[BikeRow]:
        """Bikes by name; archived ones only when asked for."""
        still_open = func.sum(func.coalesce((CASES.c.state == "open").cast(BIKES.c.id.type), 0))
        query = (
            select(
                BIKES.c.name,
                BIKES.c.archived,
                BIKES.c.changed_at,
                func.count(CASES.c.id).label("cases"),
                still_open.label("open_cases"),
            )
            .select_from(BIKES.outerjoin(CASES))
            .group_by(BIKES.c.id)
            .order_by(BIKES.c.name_key)
        )
        if not archived:
            query = query.where(BIKES.c.archived == 0)
        with self._store.reading() as connection:
            return [
                BikeRow(
                    row.name,
                    bool(row.archived),
                    int(row.open_cases or 0),
                    int(row.cases),
                    read_moment(row.changed_at).date(),
                )
                for row in connection.execute(query)
            ]

    def _find(self, connection: Connection, name: str) -> tuple[int, str] | None:
        row = connection.execute(
            select(BIKES.c.id, BIKES.c.name).where(BIKES.c.name_key == name.casefold())
        ).one_or_none()
        return None if row is None else (int(row.id), str(row.name))

    def _read(self, connection: Connection, name: str) -> tuple[int, Bike, list[BikeEntry]]:
        found = self._find(connection, name.strip())
        if found is None:
            known = list(connection.execute(select(BIKES.c.name)).scalars())
            hint = suggest(name, known) or "; `badride bike list` shows those there are"
            raise NotFound(f"there is no bike {name!r}{hint}")
        number, proper = found
        dated = read_journal(
            connection,
            BIKE_ENTRIES,
            {"bike_id": number},
            read_bike_entry,
            lambda n: f"{self._store.place}: entry {n} of bike {proper!r}",
        )
        entries, recorded = [entry for entry, _ in dated], [at for _, at in dated]
        return number, fold_bike(proper, entries, recorded), entries
