"""Cases given to trainees, in the store: begin one, add to it, read it back, list them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, insert, select, update
from sqlalchemy.exc import IntegrityError

from diagnose.records.store.journals import (
    add_to_journal,
    next_number,
    read_journal,
    write_anew,
)
from diagnose.records.store.store import Store
from diagnose.records.store.store_problems import Clash, DamagedStore, NotFound
from diagnose.records.store.tables import ATTEMPT_ENTRIES, ATTEMPTS
from diagnose.records.store.times import read_moment, written
from diagnose.training.records.results import AttemptResult, read_result, write_result
from diagnose.training.records.trainee_book import Trainee
from diagnose.training.records.trainee_entries import (
    AttemptEntry,
    Begun,
    Finished,
    Hinted,
    Stepped,
    read_attempt_entry,
)


@dataclass(frozen=True, slots=True)
class AttemptRow:
    """An attempt in a list. `result` is None while it is open."""

    id: int
    trainee: int
    scenario: str
    lesson: str | None
    sitting: int | None
    began: datetime
    changed: datetime
    result: AttemptResult | None


@dataclass(frozen=True, slots=True)
class Attempt:
    """An attempt with its journal."""

    id: int
    trainee: int
    entries: tuple[tuple[AttemptEntry, datetime], ...]

    @property
    def begun(self) -> Begun:
        """The entry that the attempt began with."""
        first = self.entries[0][0]
        assert isinstance(first, Begun)
        return first

    @property
    def steps(self) -> tuple[Stepped, ...]:
        """The entries of the steps taken so far, in order."""
        return tuple(entry for entry, _ in self.entries if isinstance(entry, Stepped))

    @property
    def open_hints(self) -> int:
        """Hints asked for since the last step."""
        count = 0
        for entry, _ in reversed(self.entries):
            if not isinstance(entry, Hinted):
                break
            count += 1
        return count

    @property
    def document(self) -> Mapping[str, Any] | None:
        """The score document, None while it is open."""
        last = self.entries[-1][0]
        return last.document if isinstance(last, Finished) else None


class AttemptBook:
    """The attempts of a store that were made on one pack."""

    def __init__(self, store: Store, pack: str) -> None:
        self.store = store
        self.pack = pack

    def begin(self, trainee: Trainee, begun: Begun) -> Attempt:
        """Keep a new attempt; it is on disk when this returns. Raises `StoreProblem`."""

        def work(connection: Connection) -> Attempt:
            at = self.store.now()
            number = next_number(connection, ATTEMPTS.c.id)
            connection.execute(
                insert(ATTEMPTS).values(
                    id=number,
                    trainee_id=trainee.id,
                    pack=self.pack,
                    scenario=begun.scenario,
                    lesson=begun.lesson,
                    sitting=begun.sitting,
                    state="open",
                    began_at=written(at),
                    changed_at=written(at),
                )
            )
            add_to_journal(connection, ATTEMPT_ENTRIES, {"attempt_id": number}, 0, [(begun, at)])
            return Attempt(number, trainee.id, ((begun, at),))

        return write_anew(self.store, work, "no number could be had for the new case; try again")

    def append(
        self, attempt: Attempt, entries: Sequence[AttemptEntry], result: AttemptResult | None = None
    ) -> Attempt:
        """Add entries, and the result where they end it; on disk when this returns.

        Raises `Clash` when another terminal was first, and other `StoreProblem`s.
        """
        at = self.store.now()
        dated = [(entry, at) for entry in entries]
        changes: dict[str, Any] = {"changed_at": written(at)}
        if result is not None:
            changes |= {"state": "finished", "result": write_result(result)}
        try:
            with self.store.writing() as connection:
                own = {"attempt_id": attempt.id}
                add_to_journal(connection, ATTEMPT_ENTRIES, own, len(attempt.entries), dated)
                connection.execute(
                    update(ATTEMPTS).where(ATTEMPTS.c.id == attempt.id).values(**changes)
                )
        except IntegrityError as error:
            raise Clash(
                "another terminal is going on with this very case; nothing of either is lost. Stop "
                "here and begin it again to go on from there"
            ) from error
        return Attempt(attempt.id, attempt.trainee, (*attempt.entries, *dated))

    def read(self, number: int) -> Attempt:
        """An attempt by its number. Raises `NotFound`, and `DamagedStore` naming the entry."""
        with self.store.reading() as connection:
            query = select(ATTEMPTS.c.trainee_id)
            of_pack = (ATTEMPTS.c.id == number) & (ATTEMPTS.c.pack == self.pack)
            trainee = connection.execute(query.where(of_pack)).scalar_one_or_none()
            if trainee is None:
                raise NotFound(f"there is no training case {number}")
            entries = read_journal(
                connection,
                ATTEMPT_ENTRIES,
                {"attempt_id": number},
                read_attempt_entry,
                lambda n: f"{self.store.place}: entry {n} of training case {number}",
            )
        if not entries or not isinstance(entries[0][0], Begun):
            raise DamagedStore(f"{self.store.place}: training case {number} has no beginning")
        return Attempt(number, trainee, entries)

    def rows(self, trainee: Trainee | None = None) -> list[AttemptRow]:
        """Attempts as they were begun, of one trainee or of all. Raises `StoreProblem`."""
        query = select(ATTEMPTS).where(ATTEMPTS.c.pack == self.pack).order_by(ATTEMPTS.c.id)
        if trainee is not None:
            query = query.where(ATTEMPTS.c.trainee_id == trainee.id)
        with self.store.reading() as connection:
            found = connection.execute(query).mappings().all()
        return [
            AttemptRow(
                row["id"],
                row["trainee_id"],
                row["scenario"],
                row["lesson"],
                row["sitting"],
                read_moment(row["began_at"]),
                read_moment(row["changed_at"]),
                _result(row["result"], f"{self.store.place}: training case {row['id']}"),
            )
            for row in found
        ]


def _result(text: str | None, where: str) -> AttemptResult | None:
    return None if text is None else read_result(text, where)
