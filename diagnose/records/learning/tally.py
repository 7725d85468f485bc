"""The sum of a shop's lessons, kept beside them so that a case starts fast.

The kept sum carries a mark of the lessons it was made from, and is only used while the store holds
exactly those. Reading never writes: the sum is made again when a case is closed or reopened.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from pydantic import BaseModel, ConfigDict, ValidationError
from sqlalchemy import Connection

from diagnose.records.learning.lessons import (
    ProvenLesson,
    learning_state,
    lesson_moments,
    read_lessons,
)
from diagnose.records.store.shop_settings import put_in, put_in_shop, read_shop
from diagnose.records.store.store import Store
from diagnose.records.store.store_problems import StoreProblem

LESSONS_ADDED_UP = "lessons-added-up"
_RELEARNED = "lessons-taken-anew"


@dataclass(frozen=True, slots=True)
class Tally:
    """Proven cases by cause: how many on each kind of bike (its traits as JSON), and in how many
    each check was found in each state."""

    machines: Mapping[str, Mapping[str, float]] = field(default_factory=dict)
    states: Mapping[str, Mapping[str, Mapping[str, float]]] = field(default_factory=dict)

    @property
    def cases(self) -> float:
        """How many cases were added up."""
        return sum(sum(kinds.values()) for kinds in self.machines.values())


class _Kept(BaseModel):
    model_config = ConfigDict(extra="forbid")

    mark: str
    machines: Mapping[str, Mapping[str, int]]
    states: Mapping[str, Mapping[str, Mapping[str, int]]]


def kind_of_bike(traits: Mapping[str, str]) -> str:
    """A kind of bike by its traits, as a tally counts it."""
    return json.dumps(dict(traits))


def add_up(lessons: Iterable[ProvenLesson]) -> Tally:
    """The tally of `lessons`."""
    machines: dict[str, Counter[tuple[tuple[str, str], ...]]] = defaultdict(Counter)
    seen: dict[str, Counter[tuple[str, str]]] = defaultdict(Counter)
    for lesson in lessons:
        machines[lesson.cause][tuple(lesson.traits.items())] += 1
        seen[lesson.cause].update(lesson.states.items())
    states: dict[str, dict[str, dict[str, int]]] = {}
    for cause, counts in seen.items():
        by_check = states.setdefault(cause, {})
        for (check, state), count in counts.items():
            by_check.setdefault(check, {})[state] = count
    written = {
        cause: {kind_of_bike(dict(traits)): count for traits, count in counts.items()}
        for cause, counts in machines.items()
    }
    return Tally(written, states)


def tally_in_use(store: Store, pack: str) -> Tally:
    """The sum of the lessons that count; empty while learning is off. Raises `StoreProblem`."""
    state = learning_state(store)
    if not state.on:
        return Tally()
    found = read_shop(store, (LESSONS_ADDED_UP, _RELEARNED))
    with contextlib.suppress(KeyError, ValidationError):
        kept = _Kept.model_validate_json(found[LESSONS_ADDED_UP])
        moments = lesson_moments(store, pack, state.since)
        if kept.mark == _mark(pack, found.get(_RELEARNED), moments):
            return Tally(kept.machines, kept.states)
    return add_up(read_lessons(store, pack, state.since, chances=False))


def keep_tally(store: Store, pack: str) -> None:
    """Add up the lessons and keep the sum; where it cannot be kept, each reader adds up itself."""
    with contextlib.suppress(StoreProblem):
        anew = read_shop(store, (_RELEARNED,)).get(_RELEARNED)
        lessons = read_lessons(store, pack, learning_state(store).since, chances=False)
        tally = add_up(lessons)
        mark = _mark(pack, anew, [(lesson.case_id, lesson.at) for lesson in lessons])
        kept = _Kept(mark=mark, machines=tally.machines, states=tally.states)
        put_in_shop(store, LESSONS_ADDED_UP, kept.model_dump_json())


def taken_anew(connection: Connection, stamp: str) -> None:
    """Make earlier sums invalid, in the transaction that makes the lessons again."""
    put_in(connection, _RELEARNED, stamp)


def _mark(pack: str, relearned: str | None, moments: Iterable[tuple[int, str]]) -> str:
    """Different for lessons of different cases, or of the same cases closed at another moment."""
    digest = hashlib.sha256(f"{pack}\n{relearned}\n".encode())
    digest.update("\n".join(f"{number} {moment}" for number, moment in moments).encode())
    return digest.hexdigest()
