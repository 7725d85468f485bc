"""A case's journal on paper: every entry as one line of JSON, and back.

Entries are only ever added. Taking something back is an entry too.
"""

from __future__ import annotations

import dataclasses
import json
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, TypeAdapter, ValidationError

from diagnose.case import (
    Answered,
    Complained,
    Corrected,
    Declined,
    Event,
    Insisted,
    Noted,
    RideReport,
    Rode,
)
from diagnose.records.problems import DamagedStore, NewerStore
from rules.quantities import Quantity

FORMAT = 1
"""Raised when an entry is written that an older badride would misread."""


class _Part(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", strict=True)


class Amount(_Part):
    """A quantity: number and printed unit."""

    value: float
    unit: str

    @classmethod
    def of(cls, quantity: Quantity) -> Amount:
        """`quantity` as it is written."""
        return cls(value=quantity.value, unit=quantity.unit)

    def quantity(self) -> Quantity:
        """As the rest of the program uses it."""
        return Quantity(self.value, self.unit)


class Assumed(_Part):
    """Taken from the records and not asked: what it rests on, and that thing's date."""

    rests_on: str
    on: str


class Started(_Part):
    """The case was opened on this machine, judged by this rule base."""

    kind: Literal["started"] = "started"
    pack: str
    pack_version: str
    machine: dict[str, str]
    targets: dict[str, Amount]


class MachineSet(_Part):
    """The machine or its targets turned out to be otherwise."""

    kind: Literal["machine"] = "machine"
    machine: dict[str, str]
    targets: dict[str, Amount]


class ComplainedEntry(_Part):
    """See `diagnose.case.Complained`."""

    kind: Literal["complained"] = "complained"
    complaint: str
    place: str | None = None


class AnsweredEntry(_Part):
    """See `diagnose.case.Answered`; `assumed` where nobody was asked."""

    kind: Literal["answered"] = "answered"
    observation: str
    state: str | None = None
    reading: Amount | None = None
    cannot_here: bool = False
    assumed: Assumed | None = None


class CorrectedEntry(_Part):
    """See `diagnose.case.Corrected`."""

    kind: Literal["corrected"] = "corrected"
    correction: str


class DeclinedEntry(_Part):
    """See `diagnose.case.Declined`."""

    kind: Literal["declined"] = "declined"
    correction: str


class RodeEntry(_Part):
    """See `diagnose.case.Rode`."""

    kind: Literal["rode"] = "rode"
    report: RideReport


class InsistedEntry(_Part):
    """See `diagnose.case.Insisted`."""

    kind: Literal["insisted"] = "insisted"
    rule: str


class NotedEntry(_Part):
    """See `diagnose.case.Noted`."""

    kind: Literal["noted"] = "noted"
    text: str


EventEntry = (
    ComplainedEntry
    | AnsweredEntry
    | CorrectedEntry
    | DeclinedEntry
    | RodeEntry
    | InsistedEntry
    | NotedEntry
)


class TakenBack(_Part):
    """The latest `count` events no longer stand."""

    kind: Literal["taken-back"] = "taken-back"
    count: Annotated[int, Field(ge=1)] = 1


class Changed(_Part):
    """In place of what was said at `index` (from 0, among what stands) this is said."""

    kind: Literal["changed"] = "changed"
    index: Annotated[int, Field(ge=0)]
    event: Annotated[EventEntry, Field(discriminator="kind")]


class Struck(_Part):
    """What was said at `index` no longer stands; what came after it does."""

    kind: Literal["struck"] = "struck"
    index: Annotated[int, Field(ge=0)]


class Forecast(_Part):
    """How probable each cause was held to be, just before something was put right."""

    kind: Literal["forecast"] = "forecast"
    chances: dict[str, float]
    learned: bool = False


class Closed(_Part):
    """The case is over; see `diagnose.records.proof`."""

    kind: Literal["closed"] = "closed"
    outcome: Literal["proven", "improved", "not-proven", "handed-over", "not-separable"]
    why: str
    correction: str | None = None
    cause: str | None = None


class Reopened(_Part):
    """It was not over after all."""

    kind: Literal["reopened"] = "reopened"


CaseEntry = (
    EventEntry | Started | MachineSet | TakenBack | Changed | Struck | Forecast | Closed | Reopened
)

_CASE_ENTRY: TypeAdapter[CaseEntry] = TypeAdapter(Annotated[CaseEntry, Field(discriminator="kind")])


def write_entry(entry: BaseModel) -> str:
    """An entry as JSON with the format's version."""
    body = entry.model_dump(mode="json", exclude_none=True)
    return json.dumps({"format": FORMAT, **body, "kind": entry.kind}, ensure_ascii=False)  # type: ignore[attr-defined]


def read_body(text: str, where: str) -> dict[str, Any]:
    """The JSON object behind an entry. Raises `DamagedStore`, `NewerStore` naming `where`."""
    try:
        body = json.loads(text)
        version = body.pop("format")
    except (ValueError, TypeError, AttributeError, KeyError):
        raise DamagedStore(f"{where} cannot be read: {text[:60]!r}; nothing was changed") from None
    if not isinstance(version, int) or version > FORMAT:
        raise NewerStore(
            f"{where} was written by a newer badride (format {version}; this one reads up to "
            f"{FORMAT}); nothing was changed"
        )
    return dict(body)


def read_entry(text: str, where: str) -> CaseEntry:
    """What `write_entry` wrote; `where` names the entry in messages.

    Raises `NewerStore` for a format or kind this version does not know, `DamagedStore` for what is
    no entry at all.
    """
    body = read_body(text, where)
    try:
        return _CASE_ENTRY.validate_json(json.dumps(body))
    except ValidationError as error:
        raise refused(body, where, error) from None


def refused(body: dict[str, Any], where: str, error: ValidationError) -> DamagedStore | NewerStore:
    """Why an entry was not accepted, in words."""
    first = error.errors(include_url=False)[0]
    if first["type"].startswith("union_tag") and not first["loc"]:
        return NewerStore(
            f"{where} is of kind {body.get('kind')!r}, which this badride does not know; nothing "
            "was changed. A newer one may have written it"
        )
    field = ".".join(str(part) for part in first["loc"])
    return DamagedStore(f"{where} is not as it should be at {field}: {first['msg']}")


_KINDS: tuple[tuple[type[Any], type[Any]], ...] = (
    (Complained, ComplainedEntry),
    (Corrected, CorrectedEntry),
    (Declined, DeclinedEntry),
    (Rode, RodeEntry),
    (Insisted, InsistedEntry),
    (Noted, NotedEntry),
)


def event_entry(event: Event, assumed: Assumed | None = None) -> EventEntry:
    """An event as it is written."""
    if isinstance(event, Answered):
        reading = Amount.of(event.reading) if event.reading is not None else None
        return AnsweredEntry(
            observation=event.observation,
            state=event.state,
            reading=reading,
            cannot_here=event.cannot_here,
            assumed=assumed,
        )
    written: EventEntry = dict(_KINDS)[type(event)](**dataclasses.asdict(event))
    return written


def event_of(entry: EventEntry) -> Event:
    """The event behind an entry."""
    if isinstance(entry, AnsweredEntry):
        reading = entry.reading.quantity() if entry.reading is not None else None
        return Answered(entry.observation, entry.state, reading, entry.cannot_here)
    kinds = {written: event for event, written in _KINDS}
    made: Event = kinds[type(entry)](**entry.model_dump(exclude={"kind"}))
    return made
