"""Bikes in the store: add one, add to its journal, read it back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from sqlalchemy import Connection, func, insert, select, update
from sqlalchemy.exc import IntegrityError

from diagnose.records.bike_journal import ArchivedEntry, BikeEntry, read_bike_entry
from diagnose.records.bikes import Bike, fold_bike
from diagnose.records.journal import write_entry
from diagnose.records.problems import Clash, NotFound
from diagnose.records.store import Store
from diagnose.records.tables import BIKE_ENTRIES, BIKES, CASES
from diagnose.records.times import read_moment
from rules.problems import BadInput
from rules.yaml_source import suggest

_TRIES = 20
LONGEST_NAME = 60


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
        """Keep a new bike. Raises `BadInput` for a name that is taken or no name."""
        name = good_name(name)
        for _ in range(_TRIES):
            try:
                with self._store.writing() as connection:
                    taken = self._find(connection, name)
                    if taken is not None:
                        raise BadInput(f"there is a bike {taken[1]!r} already; edit it, or rename")
                    number = 1 + (connection.execute(select(func.max(BIKES.c.id))).scalar() or 0)
                    stamp = self._store.stamp()
                    connection.execute(
                        insert(BIKES).values(
                            id=number,
                            name=name,
                            name_key=name.casefold(),
                            archived=0,
                            made_at=stamp,
                            changed_at=stamp,
                        )
                    )
                    self._write(connection, number, 0, entries, stamp)
                return fold_bike(name, entries)
            except IntegrityError:  # another terminal took the number or the name; look again
                continue
        raise Clash("no number could be had for the new bike; try again")

    def read(self, name: str) -> Bike:
        """A bike by its name, in any case of letters. Raises `NotFound`, `StoreProblem`."""
        with self._store.reading() as connection:
            return self._read(connection, name)[1]

    def append(self, name: str, entries: Sequence[BikeEntry], seen: int | None = None) -> Bike:
        """Add entries to a bike's journal; they are on disk when this returns.

        With `seen`, raises `Clash` when the journal has grown beyond that version meanwhile.
        """
        for _ in range(_TRIES):
            try:
                with self._store.writing() as connection:
                    number, bike, before = self._read(connection, name)
                    if seen is not None and bike.version != seen:
                        raise Clash(
                            f"another terminal has changed {bike.name} meanwhile; nothing of "
                            "either is lost. Look at it again"
                        )
                    stamp = self._store.stamp()
                    self._write(connection, number, bike.version, entries, stamp)
                    after = fold_bike(bike.name, [*before, *entries])
                    connection.execute(
                        update(BIKES)
                        .where(BIKES.c.id == number)
                        .values(changed_at=stamp, archived=int(after.archived))
                    )
                return after
            except IntegrityError:  # somebody wrote between our look and our writing; look again
                continue
        raise Clash(f"{name} is being written by others all the time; try again")

    def rename(self, name: str, new: str) -> None:
        """Give a bike another name. Raises `BadInput` where it is taken."""
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
        """Put a bike away, or bring it back; nothing of it is deleted."""
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
        rows = connection.execute(
            select(BIKE_ENTRIES.c.body, BIKE_ENTRIES.c.at)
            .where(BIKE_ENTRIES.c.bike_id == number)
            .order_by(BIKE_ENTRIES.c.seq)
        ).all()
        entries = [
            read_bike_entry(row.body, f"{self._store.place}: entry {n} of bike {proper!r}")
            for n, row in enumerate(rows, 1)
        ]
        recorded = [read_moment(row.at) for row in rows]
        return number, fold_bike(proper, entries, recorded), entries

    def _write(
        self,
        connection: Connection,
        number: int,
        version: int,
        entries: Sequence[BikeEntry],
        stamp: str,
    ) -> None:
        rows = [
            {
                "bike_id": number,
                "seq": seq,
                "at": stamp,
                "kind": entry.kind,
                "body": write_entry(entry),
            }
            for seq, entry in enumerate(entries, version + 1)
        ]
        if rows:
            connection.execute(insert(BIKE_ENTRIES), rows)


def good_name(name: str) -> str:
    """A name fit for a bike, trimmed. Raises `BadInput`."""
    name = " ".join(name.split())
    if not name or len(name) > LONGEST_NAME or not name.isprintable():
        raise BadInput(f"a bike's name has 1 to {LONGEST_NAME} letters or figures")
    return name
