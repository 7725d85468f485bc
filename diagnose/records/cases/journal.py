"""A case's journal on paper: every entry as one line of JSON, and back."""

from __future__ import annotations

import dataclasses
import json
from typing import Annotated, Any, TypeVar

from pydantic import BaseModel, Field, TypeAdapter, ValidationError

from diagnose.case.events import (
    Answered,
    Complained,
    Corrected,
    Declined,
    Event,
    Insisted,
    Noted,
    Rode,
)
from diagnose.records.cases.entries import (
    Amount,
    AnsweredEntry,
    Assumed,
    CaseEntry,
    ComplainedEntry,
    CorrectedEntry,
    DeclinedEntry,
    EventEntry,
    InsistedEntry,
    NotedEntry,
    RodeEntry,
)
from diagnose.records.store.problems import DamagedStore, NewerStore

Read = TypeVar("Read")

FORMAT = 1
"""Raised when an entry is written that an older badride would misread."""


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
    except (ValueError, TypeError, AttributeError, KeyError, RecursionError):
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
    return read_with(_CASE_ENTRY, text, where)


def read_with(shape: TypeAdapter[Read], text: str, where: str) -> Read:
    """What `write_entry` wrote of that shape. Raises as `read_entry` does."""
    body = read_body(text, where)
    try:
        return shape.validate_json(json.dumps(body))
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
