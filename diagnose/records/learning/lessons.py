"""What proven cases taught, read from the store, and whether it is to be used.

A case teaches where something measured or seen spoke for its cause and a ride proved it. One that
was closed on a hunch is kept apart, and so is one that a person left out.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from pydantic_core import from_json
from sqlalchemy import ColumnElement, Connection, Row, literal, select, update

from diagnose.records.store.journals import write_anew
from diagnose.records.store.shop_settings import put_in_shop, read_shop
from diagnose.records.store.store import Store
from diagnose.records.store.store_problems import DamagedStore, NotFound
from diagnose.records.store.tables import CASES, LESSONS
from diagnose.records.store.times import read_moment, written

TEACHING = (LESSONS.c.shown_by != "", LESSONS.c.left_out == 0)
"""What is true of the lessons that are learned from."""
_OFF = "learning-off"
_SINCE = "learning-since"


@dataclass(frozen=True, slots=True)
class ProvenLesson:
    """One proven case: its cause, the bike's traits, what was seen before the correction, the
    probabilities at that time, and when it was closed (as the store writes it).

    `shown_by` has what was measured or seen and spoke for the cause: nothing for a hunch, None
    where that was not kept. `complaints` are those of the case; `left_out` says that a person took
    it out.
    """

    case_id: int
    cause: str
    traits: Mapping[str, str]
    states: Mapping[str, str]
    chances: Mapping[str, float]
    at: str = ""
    shown_by: tuple[str, ...] | None = None
    complaints: tuple[str, ...] = ()
    left_out: bool = False

    @property
    def teaches(self) -> bool:
        """Whether it is learned from."""
        return bool(self.shown_by) and not self.left_out


@dataclass(frozen=True, slots=True)
class LearningState:
    """Whether learning is on, and since when cases count (None: all of them)."""

    on: bool
    since: datetime | None


def learning_state(store: Store) -> LearningState:
    """The shop's settings for learning. Raises `StoreProblem`."""
    found = read_shop(store, (_OFF, _SINCE))
    since = found.get(_SINCE)
    return LearningState(_OFF not in found, read_moment(since) if since else None)


def switch_learning(store: Store, on: bool) -> None:
    """Use what proven cases teach, or ignore it; the cases stay. Raises `StoreProblem`."""
    put_in_shop(store, _OFF, None if on else "yes")


def reset_learning(store: Store) -> None:
    """Only cases closed from now on count. Raises `StoreProblem`."""
    put_in_shop(store, _SINCE, written(store.now()))


def unreset_learning(store: Store) -> None:
    """All cases count again. Raises `StoreProblem`."""
    put_in_shop(store, _SINCE, None)


def leave_out(store: Store, pack: str, cases: Collection[int], *, out: bool) -> None:
    """Leave proven cases out of what is learned, or take them in again; all of them or none.

    Raises `NotFound` naming those that left no lesson, and other `StoreProblem`s.
    """

    def work(connection: Connection) -> None:
        of_pack = LESSONS.c.pack == pack
        there = set(connection.execute(select(LESSONS.c.case_id).where(of_pack)).scalars())
        missing = sorted(set(cases) - there)
        if missing:
            named = ", ".join(map(str, missing))
            raise NotFound(
                f"no lesson of case {named}; `badride learned --cases` shows those there are"
            )
        connection.execute(
            update(LESSONS).where(of_pack, LESSONS.c.case_id.in_(cases)).values(left_out=int(out))
        )

    write_anew(store, work, "the lessons are being written by others all the time; try again")


def read_lessons(
    store: Store,
    pack: str,
    since: datetime | None = None,
    *,
    chances: bool = True,
    every: bool = False,
) -> list[ProvenLesson]:
    """The lessons that teach of cases closed under one rule base, oldest first; with `every` also
    hunches and what was left out. Raises `StoreProblem`."""
    wanted = [LESSONS.c.case_id, LESSONS.c.cause, LESSONS.c.traits, LESSONS.c.states]
    held = LESSONS.c.chances if chances else literal("{}").label("chances")
    more = (LESSONS.c.at, LESSONS.c.shown_by, LESSONS.c.left_out, CASES.c.complaints)
    rows = _rows(store, pack, since, *wanted, held, *more, every=every)
    numbers = [row.case_id for row in rows]
    traits, states, forecasts = (
        _parsed(numbers, [row[column] for row in rows]) for column in (2, 3, 4)
    )
    columns = zip(rows, traits, states, forecasts, strict=True)
    return [
        ProvenLesson(
            row.case_id,
            row.cause,
            t,
            s,
            f,
            row.at,
            None if row.shown_by is None else tuple(row.shown_by.split()),
            tuple(row.complaints.split()),
            bool(row.left_out),
        )
        for row, t, s, f in columns
    ]


def lesson_moments(store: Store, pack: str, since: datetime | None = None) -> list[tuple[int, str]]:
    """Case and moment of each lesson that teaches. Raises `StoreProblem`."""
    rows = _rows(store, pack, since, LESSONS.c.case_id, LESSONS.c.at)
    return [(row.case_id, row.at) for row in rows]


def _rows(
    store: Store,
    pack: str,
    since: datetime | None,
    *columns: ColumnElement[Any],
    every: bool = False,
) -> Sequence[Row[Any]]:
    query = select(*columns).select_from(LESSONS.join(CASES)).where(LESSONS.c.pack == pack)
    if not every:
        query = query.where(*TEACHING)
    if since is not None:
        query = query.where(LESSONS.c.at > written(since))
    with store.reading() as connection:
        return connection.execute(query.order_by(LESSONS.c.at, LESSONS.c.case_id)).all()


def _parsed(numbers: Sequence[int], texts: Sequence[str]) -> list[Mapping[str, Any]]:
    """A column of JSON objects; each different text is read once, all in one call for speed."""
    different = list(dict.fromkeys(texts))
    try:
        read = dict(zip(different, from_json("[" + ",".join(different) + "]"), strict=True))
        if all(isinstance(value, dict) for value in read.values()):
            return [read[text] for text in texts]
    except ValueError:
        pass
    wrong = [number for number, text in zip(numbers, texts, strict=True) if not _is_object(text)]
    raise DamagedStore(f"the lessons of cases {wrong} cannot be read; nothing was changed")


def _is_object(text: str) -> bool:
    try:
        return isinstance(from_json(text), dict)
    except ValueError:
        return False
