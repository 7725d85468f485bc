"""The entries of a bike's journal: facts, figures, settings, rides and services, with dates."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Literal

from pydantic import Field, TypeAdapter

from diagnose.records.store.entry_lines import Amount, EntryPart, read_with

Felt = Literal["right", "wrong"]
"""How a ride felt."""


class FactsEntry(EntryPart):
    """What kind of bike it is and what it is used for."""

    kind: Literal["facts"] = "facts"
    traits: dict[str, str] = Field(default_factory=dict)
    use: str | None = None


class TargetEntry(EntryPart):
    """A figure from the bike's manual, and where it was read; None takes it back."""

    kind: Literal["target"] = "target"
    spec: str
    figure: Amount | None = None
    read_in: str
    on: date


class SettingEntry(EntryPart):
    """How something is set on the bike: an observation's state or reading; `measured_in` has the
    number of the case in which it was found so."""

    kind: Literal["setting"] = "setting"
    observation: str
    state: str | None = None
    reading: Amount | None = None
    on: date
    baseline: bool = False
    note: str = ""
    measured_in: int | None = None


class RideEntry(EntryPart):
    """Hours ridden, or what the hour meter read afterwards; and how it felt, if that was said."""

    kind: Literal["ride"] = "ride"
    on: date
    hours: float | None = None
    meter: float | None = None
    new_meter: bool = False
    note: str = ""
    felt: Felt | None = None


class ServiceEntry(EntryPart):
    """A service clock was set to zero; `clock` is the observation that reads it."""

    kind: Literal["service"] = "service"
    clock: str
    on: date
    note: str = ""


class ArchivedEntry(EntryPart):
    """The bike was archived, or brought back."""

    kind: Literal["archived"] = "archived"
    archived: bool


class StruckEntry(EntryPart):
    """The entry numbered `seq` was a mistake."""

    kind: Literal["struck"] = "struck"
    seq: Annotated[int, Field(ge=1)]


BikeEntry = (
    FactsEntry | TargetEntry | SettingEntry | RideEntry | ServiceEntry | ArchivedEntry | StruckEntry
)

_BIKE_ENTRY: TypeAdapter[BikeEntry] = TypeAdapter(Annotated[BikeEntry, Field(discriminator="kind")])


def read_bike_entry(text: str, where: str) -> BikeEntry:
    """What `write_entry` wrote. Raises `NewerStore` and `DamagedStore` naming `where`."""
    return read_with(_BIKE_ENTRY, text, where)
