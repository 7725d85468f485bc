"""What the chains of journals show to be missing or changed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise
from typing import Any

from sqlalchemy import Connection, select

from diagnose.records.store.chain.digests import ALL, Journals, link

_MOST_NAMED = 20


@dataclass(frozen=True, slots=True)
class Damage:
    """Something in a store that is not as it was written: where, what, and what there is to do."""

    where: str
    what: str
    advice: str

    def __str__(self) -> str:
        return f"{self.where}: {self.what}. {self.advice}"


def damage_in(connection: Connection) -> list[Damage]:
    """What the chains of all journals show to be missing or changed, by kind and number."""
    return [found for journals in ALL for found in _damage(connection, journals)]


def _damage(connection: Connection, journals: Journals) -> Iterator[Damage]:
    owners, table = journals.owners, journals.entries
    name = owners.c.get("name", owners.c.id)
    held = {
        row[0]: row[1:]
        for row in connection.execute(
            select(owners.c.id, name, owners.c.entries, owners.c.head).order_by(owners.c.id)
        )
    }
    key = table.c[journals.key]
    rows = connection.execution_options(yield_per=2000).execute(
        select(key, table.c.seq, table.c.at, table.c.kind, table.c.body, table.c.chain).order_by(
            key, table.c.seq
        )
    )
    empty = dict(held)
    for owner, group in groupby(rows, key=lambda row: row[0]):
        empty.pop(owner, None)
        entries = [row[1:] for row in group]
        if owner not in held:
            yield _missing(journals, owner, f"it is gone, with {len(entries)} entries left of it")
            held[owner] = (owner, None, "")
            continue
        called, count, head = held[owner]
        for what, is_loss in _broken(owner, entries, count, head):
            yield _found(journals, owner, called, what, is_loss=is_loss)
    for owner, (called, count, _) in empty.items():
        if count != 0:
            what = f"it was emptied: all {count} entries are gone"
            yield _found(journals, owner, called, what, is_loss=True)
        elif journals.word == "case":
            yield _found(journals, owner, called, "it has no entries", is_loss=True)
    numbers = sorted(number for number in held if isinstance(number, int))
    for low, high in pairwise([0, *numbers]):
        if high - low > 1:
            yield _missing(journals, _span(low + 1, high - 1), "it is gone, entries and all")


def _broken(
    owner: int, entries: Sequence[Sequence[Any]], count: Any, head: Any
) -> Iterator[tuple[str, bool]]:
    """What is wrong with one journal, and whether something is lost; none of its cells is sure to
    be what it should."""
    before: str | None = ""
    expected = 1
    changed: list[int] = []
    for seq, at, kind, body, chain in entries:
        if not isinstance(seq, int):
            yield f"it has an entry numbered {str(seq)[:20]!r}", False
            continue
        if seq > expected:
            yield _gone(expected, seq - 1, "missing"), True
            before = None
        if before is not None and link(before, owner, seq, at, kind, body) != chain:
            changed.append(seq)
        before, expected = str(chain), seq + 1
    if changed:
        more = f" and {len(changed) - _MOST_NAMED} more" if len(changed) > _MOST_NAMED else ""
        named = ", ".join(map(str, changed[:_MOST_NAMED]))
        yield f"changed since it was written: entry {named}{more}", False
    if not isinstance(count, int):
        yield f"it says it has {str(count)[:20]!r} entries", False
    elif expected <= count:
        yield _gone(expected, count, "missing from its end"), True
    elif (expected - 1, before) != (count, head) and not changed and before is not None:
        yield f"it says it has {count} entries, and has others", False


def _found(
    journals: Journals, owner: object, called: object, what: str, *, is_loss: bool
) -> Damage:
    named = str(called)[:60]
    where = f"{journals.word} {owner}" + ("" if called == owner else f" ({named})")
    look = journals.look.format(id=owner, name=repr(named))
    look = f"`{look}` shows what stands there" if look else "Practice goes on without it"
    backup = "a backup from before has it: `badride restore BACKUP --store NEWFILE`"
    advice = f"{look}; {backup}" if is_loss else f"{look}; compare it with a card or a backup"
    return Damage(where, what, advice)


def _missing(journals: Journals, owner: object, what: str) -> Damage:
    advice = "A backup from before has it: `badride restore BACKUP --store NEWFILE`"
    return Damage(f"{journals.word} {owner}", what, advice)


def _gone(low: int, high: int, how: str) -> str:
    return f"entry {low} is {how}" if low == high else f"entries {_span(low, high)} are {how}"


def _span(low: int, high: int) -> str:
    return str(low) if low == high else f"{low} to {high}"
