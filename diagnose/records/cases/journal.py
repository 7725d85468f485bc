"""A case's events as journal entries, and back."""

from __future__ import annotations

import dataclasses
from typing import Annotated, Any

from pydantic import Field, TypeAdapter

from diagnose.case.events import (
    Answered,
    Asking,
    Complained,
    Corrected,
    Declined,
    Event,
    Insisted,
    Noted,
    Rode,
    Told,
)
from diagnose.records.cases.entries import (
    AnsweredEntry,
    AskingEntry,
    Assumed,
    CaseEntry,
    ComplainedEntry,
    CorrectedEntry,
    DeclinedEntry,
    EventEntry,
    InsistedEntry,
    NotedEntry,
    RodeEntry,
    ToldEntry,
)
from diagnose.records.store.entry_lines import Amount, read_with

_CASE_ENTRY: TypeAdapter[CaseEntry] = TypeAdapter(Annotated[CaseEntry, Field(discriminator="kind")])


def read_entry(text: str, where: str) -> CaseEntry:
    """What `write_entry` wrote; `where` names the entry in messages.

    Raises `NewerStore` for a format or kind this version does not know, `DamagedStore` for what is
    not an entry.
    """
    return read_with(_CASE_ENTRY, text, where)


_KINDS: tuple[tuple[type[Any], type[Any]], ...] = (
    (Complained, ComplainedEntry),
    (Corrected, CorrectedEntry),
    (Declined, DeclinedEntry),
    (Rode, RodeEntry),
    (Insisted, InsistedEntry),
    (Told, ToldEntry),
    (Noted, NotedEntry),
    (Asking, AskingEntry),
)


def event_entry(event: Event, assumed: Assumed | None = None) -> EventEntry:
    """The entry that an event is written as."""
    if isinstance(event, Answered):
        reading = Amount.of(event.reading) if event.reading is not None else None
        return AnsweredEntry(
            observation=event.observation,
            state=event.state,
            reading=reading,
            cannot_here=event.cannot_here,
            assumed=assumed,
        )
    if isinstance(event, Told):
        return ToldEntry(text=event.text)
    written: EventEntry = dict(_KINDS)[type(event)](**dataclasses.asdict(event))
    return written


def event_of(entry: EventEntry) -> Event:
    """The event that an entry was written for."""
    if isinstance(entry, AnsweredEntry):
        reading = entry.reading.quantity() if entry.reading is not None else None
        return Answered(entry.observation, entry.state, reading, entry.cannot_here)
    kinds = {written: event for event, written in _KINDS}
    made: Event = kinds[type(entry)](**entry.model_dump(exclude={"kind"}))
    return made
