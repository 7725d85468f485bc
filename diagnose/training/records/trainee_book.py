"""Trainees in the store: who they are, what they have opened and sat for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Connection, select, update

from diagnose.records.store.journals import (
    add_named,
    add_to_journal,
    read_journal,
    write_anew,
)
from diagnose.records.store.names import good_name
from diagnose.records.store.store import Store
from diagnose.records.store.store_problems import NotFound
from diagnose.records.store.tables import TRAINEE_ENTRIES, TRAINEES
from diagnose.records.store.times import read_moment, written
from diagnose.training.records.trainee_entries import (
    ExampleSeen,
    PutAway,
    SignedOff,
    SittingBegun,
    SittingEnded,
    TraineeEntry,
    UnitOpened,
    read_trainee_entry,
)
from rules.problems import BadInput
from rules.yaml_source import suggest


@dataclass(frozen=True, slots=True)
class Sitting:
    """An exam a trainee has sat down to. `ended` is None while it is open."""

    number: int
    begun: SittingBegun
    at: datetime
    ended: datetime | None
    given_up: bool


@dataclass(frozen=True, slots=True)
class Trainee:
    """A trainee as the store has them."""

    id: int
    name: str
    since: datetime
    entries: tuple[tuple[TraineeEntry, datetime], ...]

    @property
    def archived(self) -> bool:
        """Whether they are put away."""
        said = [entry.archived for entry, _ in self.entries if isinstance(entry, PutAway)]
        return bool(said) and said[-1]

    def opened(self, pack: str) -> frozenset[str]:
        """Units of the pack's course that were opened."""
        return frozenset(
            entry.unit
            for entry, _ in self.entries
            if isinstance(entry, UnitOpened) and entry.pack == pack
        )

    def signed_off(self, pack: str) -> tuple[tuple[SignedOff, datetime], ...]:
        """What trainers have signed off at a real bike, in order."""
        return tuple(
            (entry, at)
            for entry, at in self.entries
            if isinstance(entry, SignedOff) and entry.pack == pack
        )

    def examples_seen(self, pack: str) -> frozenset[str]:
        """Lessons of the pack's course whose worked case was gone through."""
        return frozenset(
            entry.lesson
            for entry, _ in self.entries
            if isinstance(entry, ExampleSeen) and entry.pack == pack
        )

    def sittings(self, pack: str) -> tuple[Sitting, ...]:
        """Exams of the pack sat down to, in order."""
        ends = {
            entry.sitting: (at, entry.given_up)
            for entry, at in self.entries
            if isinstance(entry, SittingEnded)
        }
        return tuple(
            Sitting(number, entry, at, *ends.get(number, (None, False)))
            for number, (entry, at) in enumerate(self.entries, 1)
            if isinstance(entry, SittingBegun) and entry.pack == pack
        )


class TraineeBook:
    """The trainees of a store."""

    def __init__(self, store: Store) -> None:
        self.store = store

    def add(self, name: str) -> Trainee:
        """Keep a new trainee. Raises `BadInput` for a name that is taken or no name."""
        name = good_name(name)

        def work(connection: Connection) -> Trainee:
            taken = _find(connection, name)
            if taken is not None:
                raise BadInput(f"there is a trainee {taken[1]!r} already")
            at = self.store.now()
            return Trainee(add_named(connection, TRAINEES, name, at), name, at, ())

        return write_anew(self.store, work, "no number could be had for the new trainee; try again")

    def read(self, name: str) -> Trainee:
        """A trainee by name, in any case of letters. Raises `NotFound`, `StoreProblem`."""
        with self.store.reading() as connection:
            return self._read(connection, name)

    def everybody(self, *, archived: bool = False) -> list[Trainee]:
        """All trainees by name; those put away only where asked for. Raises `StoreProblem`."""
        with self.store.reading() as connection:
            query = select(TRAINEES.c.name).order_by(TRAINEES.c.name_key)
            if not archived:
                query = query.where(TRAINEES.c.archived == 0)
            names = connection.execute(query).scalars().all()
            return [self._read(connection, name) for name in names]

    def append(self, name: str, entries: Sequence[TraineeEntry]) -> Trainee:
        """Add to a trainee's journal; it is on disk when this returns. Raises `StoreProblem`."""

        def work(connection: Connection) -> Trainee:
            before = self._read(connection, name)
            at = self.store.now()
            dated = tuple((entry, at) for entry in entries)
            after = Trainee(before.id, before.name, before.since, (*before.entries, *dated))
            own = {"trainee_id": before.id}
            add_to_journal(connection, TRAINEE_ENTRIES, own, len(before.entries), dated)
            connection.execute(
                update(TRAINEES)
                .where(TRAINEES.c.id == before.id)
                .values(changed_at=written(at), archived=int(after.archived))
            )
            return after

        return write_anew(
            self.store, work, f"{name} is being written by others all the time; try again"
        )

    def _read(self, connection: Connection, name: str) -> Trainee:
        found = _find(connection, name)
        if found is None:
            known = list(connection.execute(select(TRAINEES.c.name)).scalars())
            raise NotFound(
                f"there is no trainee {name!r}{suggest(name, known)}; `badride trainee add NAME` "
                "adds one"
            )
        number, own, made_at = found
        entries = read_journal(
            connection,
            TRAINEE_ENTRIES,
            {"trainee_id": number},
            read_trainee_entry,
            lambda n: f"{self.store.place}: entry {n} of trainee {own}",
        )
        return Trainee(number, own, read_moment(made_at), entries)


def _find(connection: Connection, name: str) -> tuple[int, str, str] | None:
    query = select(TRAINEES.c.id, TRAINEES.c.name, TRAINEES.c.made_at)
    row = connection.execute(
        query.where(TRAINEES.c.name_key == good_name(name).casefold())
    ).one_or_none()
    return None if row is None else (int(row[0]), str(row[1]), str(row[2]))
