"""Where bikes and cases are kept. Screens know only this; a store on disk takes its place."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Protocol

from diagnose.case import Case
from rules.quantities import Quantity


@dataclass(frozen=True, slots=True)
class Bike:
    """A machine by name. Traits and targets not given are the pack's rules of thumb."""

    name: str
    traits: Mapping[str, str] = field(default_factory=dict)
    targets: Mapping[str, Quantity] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class KeptCase:
    """A case under way or closed. `id` is stable while the shelf lasts."""

    id: int
    bike: str
    case: Case


class Shelf(Protocol):
    """Keeps bikes and cases.

    `keep_case` is called from a worker after every answer. The rest is called from the screen's own
    thread and has to answer at once; a store on disk answers from memory.
    """

    def bikes(self) -> tuple[Bike, ...]:
        """Every bike, latest first."""

    def keep_bike(self, bike: Bike) -> None:
        """Keep a bike; one of the same name is replaced."""

    def cases(self) -> tuple[KeptCase, ...]:
        """Every case, latest first."""

    def keep_case(self, kept: KeptCase) -> None:
        """Keep a case as it stands; one of the same id is replaced."""

    def next_id(self) -> int:
        """An id no case has had."""


class SessionShelf:
    """A shelf that lasts until the program ends."""

    def __init__(self) -> None:
        self._bikes: dict[str, Bike] = {}
        self._cases: dict[int, KeptCase] = {}
        self._last = 0

    def bikes(self) -> tuple[Bike, ...]:
        """Every bike, latest first."""
        return tuple(reversed(self._bikes.values()))

    def keep_bike(self, bike: Bike) -> None:
        """Keep a bike; one of the same name is replaced."""
        self._bikes.pop(bike.name, None)
        self._bikes[bike.name] = bike

    def cases(self) -> tuple[KeptCase, ...]:
        """Every case, latest first."""
        return tuple(reversed(self._cases.values()))

    def keep_case(self, kept: KeptCase) -> None:
        """Keep a case as it stands; one of the same id is replaced."""
        self._cases.pop(kept.id, None)
        self._cases[kept.id] = kept

    def next_id(self) -> int:
        """An id no case has had."""
        self._last += 1
        return self._last
