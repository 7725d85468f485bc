"""Journal entries as text: each is one line of JSON, never changed once written."""

from __future__ import annotations

import json
from typing import Any, TypeVar

from pydantic import BaseModel, ConfigDict, TypeAdapter, ValidationError

from diagnose.records.store.store_problems import DamagedStore, NewerStore
from rules.units.quantities import Quantity

Read = TypeVar("Read")

FORMAT = 1
"""Goes up when entries change so that an older badride would misread them."""


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


def read_with(shape: TypeAdapter[Read], text: str, where: str) -> Read:
    """What `write_entry` wrote, as `shape`. Raises `DamagedStore`, `NewerStore` naming `where`."""
    body = read_body(text, where)
    try:
        return shape.validate_json(json.dumps(body))
    except ValidationError as error:
        raise refused(body, where, error) from None


def refused(body: dict[str, Any], where: str, error: ValidationError) -> DamagedStore | NewerStore:
    """The error for an entry that was not accepted, with the reason in words."""
    first = error.errors(include_url=False)[0]
    if first["type"].startswith("union_tag") and not first["loc"]:
        return NewerStore(
            f"{where} is of kind {body.get('kind')!r}, which this badride does not know; nothing "
            "was changed. A newer one may have written it"
        )
    field = ".".join(str(part) for part in first["loc"])
    return DamagedStore(f"{where} is not as it should be at {field}: {first['msg']}")


class EntryPart(BaseModel):
    """Frozen, strict, and closed against unknown keys."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True)


class Amount(EntryPart):
    """A quantity: number and printed unit."""

    value: float
    unit: str

    @classmethod
    def of(cls, quantity: Quantity) -> Amount:
        """`quantity` as an entry holds it."""
        return cls(value=quantity.value, unit=quantity.unit)

    def quantity(self) -> Quantity:
        """The amount as the rest of the program uses it."""
        return Quantity(self.value, self.unit)
