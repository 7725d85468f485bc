"""What proven cases taught, read from the store, and whether it is to be used."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from pydantic_core import from_json
from sqlalchemy import ColumnElement, Row, literal, select

from diagnose.records.store.shop_settings import put_in_shop, read_shop
from diagnose.records.store.store import Store
from diagnose.records.store.store_problems import DamagedStore
from diagnose.records.store.tables import LESSONS
from diagnose.records.store.times import read_moment, written

_OFF = "learning-off"
_SINCE = "learning-since"


@dataclass(frozen=True, slots=True)
class ProvenLesson:
    """One proven case: its cause, the bike's traits, what was seen before the correction, the
    probabilities at that time, and when it was closed (as the store writes it)."""

    case_id: int
    cause: str
    traits: Mapping[str, str]
    states: Mapping[str, str]
    chances: Mapping[str, float]
    at: str = ""


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


def read_lessons(
    store: Store, pack: str, since: datetime | None = None, *, chances: bool = True
) -> list[ProvenLesson]:
    """The lessons of cases closed under one rule base, oldest first. Raises `StoreProblem`."""
    wanted = [LESSONS.c.case_id, LESSONS.c.cause, LESSONS.c.traits, LESSONS.c.states]
    held = LESSONS.c.chances if chances else literal("{}").label("chances")
    rows = _rows(store, pack, since, *wanted, held, LESSONS.c.at)
    numbers = [row.case_id for row in rows]
    traits, states, forecasts = (
        _parsed(numbers, [row[column] for row in rows]) for column in (2, 3, 4)
    )
    columns = zip(rows, traits, states, forecasts, strict=True)
    return [ProvenLesson(row.case_id, row.cause, t, s, f, row.at) for row, t, s, f in columns]


def lesson_moments(store: Store, pack: str, since: datetime | None = None) -> list[tuple[int, str]]:
    """Case and moment of each lesson that `read_lessons` would read. Raises `StoreProblem`."""
    rows = _rows(store, pack, since, LESSONS.c.case_id, LESSONS.c.at)
    return [(row.case_id, row.at) for row in rows]


def _rows(
    store: Store, pack: str, since: datetime | None, *columns: ColumnElement[Any]
) -> Sequence[Row[Any]]:
    query = select(*columns).where(LESSONS.c.pack == pack)
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
