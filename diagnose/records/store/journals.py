"""The store's journals, which only grow, while other terminals write too."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from datetime import datetime
from typing import TypeVar

from pydantic import BaseModel
from sqlalchemy import Column, Connection, Table, func, insert, select
from sqlalchemy.exc import IntegrityError

from diagnose.records.store.chain.digests import append
from diagnose.records.store.entry_lines import write_entry
from diagnose.records.store.store import Store
from diagnose.records.store.store_problems import Clash, DamagedStore
from diagnose.records.store.times import read_moment, written

MOST_TRIES = 20
_LARGEST = 2**63 - 1  # of the numbers that SQLite holds

Done = TypeVar("Done")
Entry = TypeVar("Entry")


def write_anew(store: Store, work: Callable[[Connection], Done], refused: str) -> Done:
    """Do `work`, which looks and then writes, in one transaction; it is on disk when this returns.

    Where another terminal writes in between, `work` is done again. Raises `Clash(refused)` after
    `MOST_TRIES` times, and what `work` and the store raise.
    """
    for _ in range(MOST_TRIES):
        try:
            with store.writing() as connection:
                done = work(connection)
        except IntegrityError:
            continue
        return done
    raise Clash(refused)


def next_number(connection: Connection, column: Column[int]) -> int:
    """One more than the largest number in `column`; 1 for an empty table.

    Raises `DamagedStore` where no number is left, which counting from 1 does not come to.
    """
    largest = connection.execute(select(func.max(column))).scalar() or 0
    if largest >= _LARGEST:
        raise DamagedStore(
            f"the store numbers its {column.table.name} up to {largest}, and there is no larger "
            "number; that is damage: restore a backup"
        )
    return 1 + largest


def add_named(connection: Connection, table: Table, name: str, at: datetime) -> int:
    """A new row of a table of names, under the next number, which is returned.

    Raises `IntegrityError` where another terminal has taken the number or the name.
    """
    number = next_number(connection, table.c.id)
    stamp = written(at)
    connection.execute(
        insert(table).values(
            id=number,
            name=name,
            name_key=name.casefold(),
            archived=0,
            made_at=stamp,
            changed_at=stamp,
        )
    )
    return number


def read_journal(
    connection: Connection,
    table: Table,
    owner: Mapping[str, int],
    read: Callable[[str, str], Entry],
    told: Callable[[int], str],
) -> tuple[tuple[Entry, datetime], ...]:
    """The entries of a journal, oldest first, each with when it was written.

    `owner` is as in `add_to_journal`. `read` makes an entry of its line of JSON and of what `told`
    calls the entry of a number; it raises `DamagedStore` or `NewerStore` naming that.
    """
    query = select(table.c.seq, table.c.body, table.c.at).order_by(table.c.seq)
    for column, value in owner.items():
        query = query.where(table.c[column] == value)
    rows = connection.execute(query).all()
    return tuple((read(body, told(number)), read_moment(at)) for number, body, at in rows)


def add_to_journal(
    connection: Connection,
    table: Table,
    owner: Mapping[str, int],
    version: int,
    dated: Iterable[tuple[BaseModel, datetime]],
) -> None:
    """Write entries after the first `version` of a journal; `owner` has the column that says whose.

    Raises `IntegrityError` where another terminal has written there.
    """
    (number,) = owner.values()
    rows = [
        {
            "at": written(at),
            "kind": entry.kind,  # type: ignore[attr-defined]
            "body": write_entry(entry),
        }
        for entry, at in dated
    ]
    append(connection, table, number, version, rows)
