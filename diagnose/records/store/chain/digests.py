"""Journals whose entries are chained, so that damage shows.

Each entry carries a digest of itself and of the digest before it; the row that owns the journal
knows how many entries there are and the digest of the last. An entry that was changed, taken out or
cut off, and a journal that was emptied, no longer fit. That shows damage and tampering by hand; who
reckons the digests anew can still deceive, and the newest bike or case of all, taken out with every
trace, is not missed.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, Table, func, select, update
from sqlalchemy.exc import IntegrityError

from diagnose.records.store.store_problems import DamagedStore
from diagnose.records.store.tables import (
    ATTEMPT_ENTRIES,
    ATTEMPTS,
    BIKE_ENTRIES,
    BIKES,
    CASE_ENTRIES,
    CASES,
    TRAINEE_ENTRIES,
    TRAINEES,
)

_LETTERS = 32  # of the digest's 64: no two entries of any shop will share so many by chance


@dataclass(frozen=True, slots=True)
class Journals:
    """The journals of one kind: who owns them, their entries, and the column that says whose.

    `word` is what an owner is called; `look` the command that shows one, if there is one.
    """

    owners: Table
    entries: Table
    key: str
    word: str
    look: str = ""


ALL = (
    Journals(BIKES, BIKE_ENTRIES, "bike_id", "bike", "badride bike show {name} --log"),
    Journals(CASES, CASE_ENTRIES, "case_id", "case", "badride cases show {id} --journal"),
    Journals(TRAINEES, TRAINEE_ENTRIES, "trainee_id", "trainee", "badride trainee show {name}"),
    Journals(ATTEMPTS, ATTEMPT_ENTRIES, "attempt_id", "training case"),
)


def link(before: str, owner: object, seq: object, at: object, kind: object, body: object) -> str:
    """The digest of an entry that follows the one with the digest `before` (`""`: it is the first).

    Stores hold these, so what it comes to never changes.
    """
    text = json.dumps([before, owner, seq, at, kind, body], default=str)
    return hashlib.sha256(text.encode()).hexdigest()[:_LETTERS]


def chained(
    before: str, owner: int, rows: Iterable[Mapping[str, Any]]
) -> Iterator[tuple[Mapping[str, Any], str]]:
    """Rows of a journal (`seq`, `at`, `kind`, `body`) in order, each with its digest."""
    for row in rows:
        before = link(before, owner, row["seq"], row["at"], row["kind"], row["body"])
        yield row, before


def append(
    connection: Connection, table: Table, owner: int, version: int, rows: Sequence[dict[str, Any]]
) -> None:
    """Write `rows` (`at`, `kind`, `body`) after the first `version` entries of a journal.

    Where entries at the end have been lost, what is added goes on after their numbers, so that the
    loss still shows. Raises `IntegrityError` where another terminal has written there, and
    `DamagedStore` where the row that owns the journal was spoilt.
    """
    if not rows:
        return
    kind = next(journals for journals in ALL if journals.entries is table)
    owners = kind.owners
    count, before = connection.execute(
        select(owners.c.entries, owners.c.head).where(owners.c.id == owner)
    ).one()
    if not isinstance(count, int):  # SQLite keeps anything in any column
        raise DamagedStore(
            f"how many entries {kind.word} {owner} has was overwritten; nothing was added to it. "
            "`badride check-store` lists all that is damaged"
        )
    if count != version:
        held = select(func.count()).where(table.c[kind.key] == owner)
        if connection.execute(held).scalar_one() != version:
            raise IntegrityError("another terminal has written there", None, LookupError(owner))
    numbered = [{**row, "seq": seq} for seq, row in enumerate(rows, max(count, version) + 1)]
    linked = list(chained(before, owner, numbered))
    connection.execute(
        table.insert(), [{**row, kind.key: owner, "chain": chain} for row, chain in linked]
    )
    last, head = linked[-1]
    connection.execute(
        update(owners).where(owners.c.id == owner).values(entries=last["seq"], head=head)
    )
