"""What proven cases taught, read from the store, and whether it is to be used."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from pydantic_core import from_json
from sqlalchemy import delete, insert, literal, select

from diagnose.records.problems import DamagedStore
from diagnose.records.store import Store
from diagnose.records.tables import LESSONS, SHOP
from diagnose.records.times import read_moment, written

_OFF = "learning-off"
_SINCE = "learning-since"


@dataclass(frozen=True, slots=True)
class Lesson:
    """One proven case: its cause, the machine, what was seen before the correction, and what had
    been held probable."""

    case_id: int
    cause: str
    traits: Mapping[str, str]
    states: Mapping[str, str]
    chances: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class LearningState:
    """Whether learning is on, and since when cases count (None: all of them)."""

    on: bool
    since: datetime | None


def learning_state(store: Store) -> LearningState:
    """How the shop has set it. Raises `StoreProblem`."""
    with store.reading() as connection:
        rows = connection.execute(select(SHOP.c.key, SHOP.c.value)).all()
    found = {str(row.key): str(row.value) for row in rows}
    since = found.get(_SINCE)
    return LearningState(_OFF not in found, read_moment(since) if since else None)


def switch_learning(store: Store, on: bool) -> None:
    """Use what proven cases teach, or leave it; the cases stay. Raises `StoreProblem`."""
    _put(store, _OFF, None if on else "yes")


def reset_learning(store: Store) -> None:
    """Only cases closed from now on count. Raises `StoreProblem`."""
    _put(store, _SINCE, written(store.now()))


def unreset_learning(store: Store) -> None:
    """All cases count again. Raises `StoreProblem`."""
    _put(store, _SINCE, None)


def lessons_in_use(store: Store, pack: str) -> list[Lesson]:
    """The lessons that count, oldest first; none while learning is off. Raises `StoreProblem`.

    Without what had been held probable, which learning does not look at.
    """
    state = learning_state(store)
    return read_lessons(store, pack, state.since, chances=False) if state.on else []


def read_lessons(
    store: Store, pack: str, since: datetime | None = None, *, chances: bool = True
) -> list[Lesson]:
    """The lessons of cases closed under one rule base, oldest first. Raises `StoreProblem`."""
    wanted = [LESSONS.c.case_id, LESSONS.c.cause, LESSONS.c.traits, LESSONS.c.states]
    query = select(*wanted, LESSONS.c.chances if chances else literal("{}").label("chances"))
    query = query.where(LESSONS.c.pack == pack)
    if since is not None:
        query = query.where(LESSONS.c.at > written(since))
    with store.reading() as connection:
        rows = connection.execute(query.order_by(LESSONS.c.at, LESSONS.c.case_id)).all()
    if not rows:
        return []
    numbers, causes, traits, states, forecasts = zip(*rows, strict=True)
    columns = (_parsed(numbers, column) for column in (traits, states, forecasts))
    return list(map(Lesson, numbers, causes, *columns))


def _parsed(numbers: Sequence[int], texts: Sequence[str]) -> list[Mapping[str, Any]]:
    """A column of JSON objects, each different text read once and all of them in one go."""
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


def _put(store: Store, key: str, value: str | None) -> None:
    with store.writing() as connection:
        connection.execute(delete(SHOP).where(SHOP.c.key == key))
        if value is not None:
            connection.execute(insert(SHOP).values(key=key, value=value))
