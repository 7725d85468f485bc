"""What was understood of a rider's story, and what was not taken, each with the rider's words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from diagnose.case.events import Answered, Complained
from rules.units.quantities import Quantity

Why = Literal[
    "denied",
    "of another bike",
    "past",
    "supposed",
    "a figure wanted, not read",
    "unlikely by the words",
]
Asked = Literal["complaint", "place", "figure", "fact"]


@dataclass(frozen=True, slots=True)
class Slice:
    """Part of the rider's text, letter for letter, from `start` to `end`."""

    start: int
    end: int
    text: str


Slices = tuple[Slice, ...]


@dataclass(frozen=True, slots=True)
class HeardComplaint:
    """A complaint; `place` is None where it has places and none was named. `sure` from 0 to 1."""

    complaint: str
    place: str | None
    words: Slices
    sure: float

    @property
    def event(self) -> Complained:
        """The same as something that happened in a case."""
        return Complained(self.complaint, self.place)


@dataclass(frozen=True, slots=True)
class HeardFact:
    """An observation in one of its states, or a reading in the unit it was given in."""

    observation: str
    words: Slices
    sure: float
    state: str | None = None
    reading: Quantity | None = None

    @property
    def event(self) -> Answered:
        """The same as something that happened in a case."""
        return Answered(self.observation, self.state, self.reading)


@dataclass(frozen=True, slots=True)
class OpenQuestion:
    """Something to ask rather than take: whether a complaint is meant, at which `place` it is,
    which reading a `figure` (its id) is, or which of several answers to an observation stands.
    `choices` are places, observations, or states and readings."""

    asks: Asked
    id: str
    words: Slices
    choices: tuple[str, ...] = ()
    place: str | None = None


@dataclass(frozen=True, slots=True)
class NotTaken:
    """What was said and does not count, and why. `state` is that of an observation."""

    id: str
    words: Slices
    why: Why
    place: str | None = None
    state: str | None = None


@dataclass(frozen=True, slots=True)
class Story:
    """A rider's text and what it comes to, each list with the surest first.

    `pending` facts tell when a complaint shows, and count once an offered complaint is accepted.
    `remarks` say in words what of the text could not be listened to.
    """

    text: str
    complaints: tuple[HeardComplaint, ...] = ()
    facts: tuple[HeardFact, ...] = ()
    questions: tuple[OpenQuestion, ...] = ()
    not_taken: tuple[NotTaken, ...] = ()
    machine: tuple[tuple[str, str, Slices], ...] = ()
    pending: tuple[HeardFact, ...] = ()
    remarks: tuple[str, ...] = ()
