"""What a pack may say about the entries of a pack it builds on.

    changes:
      causes:
        fork-oil-old:
          set: {per_100: 9, shows: {harsh/front: very likely}}
          reason: Mud all winter here.
          source: our-job-cards
    switched_off:
      observations:
        rear-bounce-test: {reason: No ramp., source: our-job-cards}

`set` holds only what differs. A mapping such as `shows` is merged key by key, so that one word can
be changed alone; a list, a text or a rule's condition is replaced. `take_out` removes keys of a
mapping.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any, Self

from pydantic import BeforeValidator, Field, StringConstraints, model_validator

from rules.language.schema import Line, Sourced, one_or_many
from rules.yaml_source import suggest

# replaced whole: merging parts of two conditions would give one that nobody wrote
WHOLE = frozenset({"when", "then"})
_Key = Annotated[str, StringConstraints(min_length=1, max_length=90)]
_Keys = Annotated[
    tuple[_Key, ...],
    BeforeValidator(one_or_many, json_schema_input_type=_Key | list[_Key]),
    Field(min_length=1),
]


class ChangedEntry(Sourced):
    """Fields of an entry that differ from the pack below, with the reason and the source."""

    set: dict[str, Any] = Field(default_factory=dict)
    take_out: dict[str, _Keys] = Field(default_factory=dict)
    reason: Line

    @model_validator(mode="after")
    def _says_something(self) -> Self:
        if not self.set and not self.take_out:
            raise ValueError("give what changes under `set`, or keys to remove under `take_out`")
        return self


class SwitchedOffEntry(Sourced):
    """An entry of the pack below that is left out, with the reason and the source."""

    reason: Line


class NotThere(ValueError):
    """`take_out` names something that is not there; `location` is inside the change."""

    def __init__(self, location: tuple[str, ...], message: str) -> None:
        self.location = location
        super().__init__(message)


def changed(body: Mapping[str, Any], change: ChangedEntry) -> dict[str, Any]:
    """The entry `body` as `change` makes it, as plain data. Raises `NotThere`."""
    new = _merged(body, change.set)
    for name, keys in change.take_out.items():
        part = new.get(name)
        if not isinstance(part, dict):
            raise NotThere(("take_out", name), f"{name!r} holds no keys to take out")
        for key in keys:
            if key not in part:
                hint = suggest(key, list(part))
                raise NotThere(("take_out", name), f"{name!r} has no {key!r} to take out{hint}")
        new[name] = {key: value for key, value in part.items() if key not in keys}
    if "source" not in change.set:
        own = body.get("source", ())
        own = [own] if isinstance(own, str) else list(own)
        new["source"] = list(dict.fromkeys([*own, *change.source]))
    return new


def _merged(old: Mapping[str, Any], new: Mapping[str, Any]) -> dict[str, Any]:
    out = dict(old)
    for name, value in new.items():
        before = out.get(name)
        if isinstance(value, dict) and isinstance(before, dict) and name not in WHOLE:
            out[name] = _merged(before, value)
        else:
            out[name] = value
    return out
