"""What a trainee's journals hold. Entries are only ever added."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Field, TypeAdapter

from diagnose.records.store.entry_lines import EntryPart, read_with


class UnitOpened(EntryPart):
    """A unit of a pack's course was opened. It stays open, whatever becomes of the course."""

    kind: Literal["unit-opened"] = "unit-opened"
    pack: str
    unit: str


class SittingBegun(EntryPart):
    """The trainee sat down to an exam, as it was then. The entry's number is the sitting's.
    `advised` is what doing as advised scores on its cases in the mean, where they were drawn."""

    kind: Literal["sitting-begun"] = "sitting-begun"
    pack: str
    exam: str
    title: str
    cases: list[str]
    pass_mark: float
    advised: float | None = None


class SittingEnded(EntryPart):
    """Every case of the sitting is done, or the trainee gave up."""

    kind: Literal["sitting-ended"] = "sitting-ended"
    sitting: int
    given_up: bool = False


class SignedOff(EntryPart):
    """A trainer has seen things of a unit done at a real bike. `shown` are the unit's lines."""

    kind: Literal["signed-off"] = "signed-off"
    pack: str
    unit: str
    shown: list[str]
    by: str


class ExampleSeen(EntryPart):
    """The trainee has gone through a case that a technician worked to its end."""

    kind: Literal["example-seen"] = "example-seen"
    pack: str
    lesson: str


class PutAway(EntryPart):
    """Put away, or brought back."""

    kind: Literal["put-away"] = "put-away"
    archived: bool


class Begun(EntryPart):
    """A case was begun. `words` are the customer's own where the lesson has them."""

    kind: Literal["begun"] = "begun"
    pack_version: str
    scenario: str
    lesson: str | None = None
    sitting: int | None = None
    hints: bool = True
    coach: bool = False
    words: str = ""


class Hinted(EntryPart):
    """A hint was asked for; written before it is shown."""

    kind: Literal["hinted"] = "hinted"


class Stepped(EntryPart):
    """A step was taken: a row of `Encounter.log`, and what came of it in words."""

    kind: Literal["stepped"] = "stepped"
    step: dict[str, Any]
    came: str


class Finished(EntryPart):
    """The case has ended: the document of `scoring.score_document`."""

    kind: Literal["finished"] = "finished"
    document: dict[str, Any]


TraineeEntry = UnitOpened | SittingBegun | SittingEnded | SignedOff | ExampleSeen | PutAway
AttemptEntry = Begun | Hinted | Stepped | Finished

_TRAINEE: TypeAdapter[TraineeEntry] = TypeAdapter(
    Annotated[TraineeEntry, Field(discriminator="kind")]
)
_ATTEMPT: TypeAdapter[AttemptEntry] = TypeAdapter(
    Annotated[AttemptEntry, Field(discriminator="kind")]
)


def read_trainee_entry(text: str, where: str) -> TraineeEntry:
    """What `write_entry` wrote. Raises `NewerStore` and `DamagedStore` naming `where`."""
    return read_with(_TRAINEE, text, where)


def read_attempt_entry(text: str, where: str) -> AttemptEntry:
    """What `write_entry` wrote. Raises `NewerStore` and `DamagedStore` naming `where`."""
    return read_with(_ATTEMPT, text, where)
