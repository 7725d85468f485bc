"""The values that a harshness budget is computed from, and reading them as people write them.

The values are those of `values.yaml` beside the pack that ships; what a value should be comes from
the pack itself wherever the pack has a default for it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any

from pydantic import ConfigDict, TypeAdapter, ValidationError, with_config

from diagnose.physics.budget.factors import Factor
from rules.language.schema import ANY
from rules.loading.pack_defaults import FULL_SIZE, pack_defaults, pack_usual
from rules.loading.pack_files import HARSHNESS_MODEL, OFFROAD
from rules.problems import BadInput, FileProblems
from rules.units.quantities import Quantity, parse_quantity, parse_range
from rules.yaml_source import read_yaml_file, suggest

__all__ = ["PLACES", "VALUES", "End", "Factor", "KnownValues", "Value", "questions", "read_value"]

_LITTLE, _MUCH = 0.75, 1.5
"""How far below and above what the kind is built to, or the figure given, a reading is doubted: a
tyre far too hard is a fault to be found, not a misreading. Our own choice."""


class End(StrEnum):
    """Which end of the bike."""

    FRONT = "front"
    REAR = "rear"


@with_config(ConfigDict(extra="forbid"))
@dataclass(frozen=True, slots=True)
class Value:
    """One thing to measure.

    `name`: what it is called on the command line.
    `title`: how it is asked.
    `option`: its help on the command line.
    `unit`: unit of a bare number.
    `possible`: lowest and highest possible value, in `unit`.
    `usual`: lowest and highest usual value, in `unit`.
    `end`: where it is measured; None where it is a place rather than a part.
    `label`: what it is called in a list of one end.
    `standard`: what it should be until the manual says otherwise; empty where there is none.
    `spec`: the figure of the pack that `standard` is the default of, where it is one.
    `source`: how `standard` is known.
    `factor`: the factor of the budget that it belongs to.
    `needs`: traits of the bikes that have it; empty where all have.
    `asked`: False for what few bikes have or few people know: used if given, not asked for.
    """

    name: str
    title: str
    option: str
    unit: str
    possible: tuple[float, float]
    usual: tuple[float, float]
    end: End | None = None
    label: str = ""
    standard: str = ""
    spec: str = ""
    source: str = ""
    factor: Factor | None = None
    needs: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    asked: bool = True

    def is_on(self, traits: Mapping[str, str]) -> bool:
        """Whether a bike with `traits` has it; a trait not told rules nothing out."""
        return all(traits.get(trait, ok[0]) in ok for trait, ok in self.needs.items())


def _read_values() -> tuple[Mapping[str, Value], Mapping[str, Value]]:
    """The values of both ends and the places. Raises `FileProblems`."""
    document = read_yaml_file(OFFROAD / HARSHNESS_MODEL / "values.yaml")

    def filled(name: str, body: Mapping[str, Any]) -> dict[str, Any]:
        standard, spec = body.get("standard", ""), ""
        if isinstance(standard, dict):
            spec = standard["spec"]
            standard = pack_defaults()[spec]
        return {**body, "name": name, "standard": standard, "spec": spec}

    tables = {
        part: {name: filled(name, body) for name, body in document.data[part].items()}
        for part in ("values", "places")
    }
    try:
        read = TypeAdapter(dict[str, dict[str, Value]]).validate_python(tables)
    except ValidationError as error:
        raise FileProblems(document.from_validation(error)) from error
    return read["values"], read["places"]


VALUES, PLACES = _read_values()
"""The values of both ends, front first; and where and how warm the fork was bled and ridden."""


@dataclass(frozen=True, slots=True)
class KnownValues:
    """What is known of a bike, by the name of the value.

    `measured`: what somebody measured.
    `targets`: what it should be: by the manual, or where named in `thumbs` by a rule of thumb.
    `usual`: what bikes of its kind are built to, where that differs by kind.
    `traits`: what kind of bike it is, by the pack's traits; empty means a full-size coil bike.
    """

    measured: Mapping[str, Quantity] = field(default_factory=dict)
    targets: Mapping[str, Quantity] = field(default_factory=dict)
    usual: Mapping[str, tuple[Quantity, Quantity]] = field(default_factory=dict)
    traits: Mapping[str, str] = field(default_factory=dict)
    thumbs: frozenset[str] = frozenset()

    @property
    def kind(self) -> str:
        """The kind of bike by its size."""
        return self.traits.get("class", FULL_SIZE)

    def is_given(self, name: str) -> bool:
        """Whether somebody said what it should be, rather than a rule of thumb."""
        return name in self.targets and name not in self.thumbs

    def least_built(self, name: str) -> Quantity | None:
        """The least that bikes of the kind are built to, where that is known."""
        if name in self.usual:
            return self.usual[name][0]
        text = pack_usual(self.kind).get(VALUES[name].spec, ANY)
        return None if text == ANY else parse_range(text, VALUES[name].unit)[0]

    def check(self) -> None:
        """Raises `BadInput` for a name that is not a value, or an impossible value."""
        for given in (self.measured, self.targets):
            for name, quantity in given.items():
                _possible(_value(name), quantity)


def read_value(name: str, text: str) -> Quantity:
    """A value as a person writes it, such as `25 psi`.

    Raises `BadInput` naming the value and what would be accepted.
    """
    value = _value(name)
    try:
        quantity = parse_quantity(text, value.unit)
    except BadInput as error:
        raise BadInput(f"{name}: {error}") from None
    return _possible(value, quantity)


def questions(known: KnownValues) -> Iterator[str]:
    """A question about each value that is possible but unusual; a misreading changes all shares.

    What the kind of bike is built to and the figure given are never unusual, nor what is near them.
    """
    for name, quantity in known.measured.items():
        value = _value(name)
        size, (low, high) = quantity.to(value.unit).value, value.usual
        sure, kind = (low, high), known.usual.get(name)
        if kind is not None:
            low, high = (end.to(value.unit).value for end in kind)
            sure = (_LITTLE * low, _MUCH * high)
        if name in known.targets:
            figure = known.targets[name].to(value.unit).value
            low, high = min(low, figure), max(high, figure)
            sure = (min(sure[0], _LITTLE * figure), max(sure[1], _MUCH * figure))
        if not sure[0] <= size <= sure[1]:
            yield (
                f"{name} is {quantity}; {low:.3g} to {high:.3g} {value.unit} is usual"
                f"{' for this kind of bike' if kind is not None else ''}. Is that what was read?"
            )


def _value(name: str) -> Value:
    value = VALUES.get(name) or PLACES.get(name)
    if value is None:
        known = [*VALUES, *PLACES]
        raise BadInput(
            f"{name!r} is not a value of the harshness budget{suggest(name, known)}; "
            f"there are {', '.join(known)}"
        )
    return value


def _possible(value: Value, quantity: Quantity) -> Quantity:
    low, high = value.possible
    size = quantity.to(value.unit).value
    if not low <= size <= high:
        why = ", below a vacuum" if size < low and value.name == "trapped-air" else ""
        raise BadInput(
            f"{value.name} is {quantity}{why}; it must be between {low:g} and {high:g} {value.unit}"
        )
    return quantity
