"""Quantities as people write them: `13 psi`, `0,9 bar`, `88 kPa`, `1 1/2 turns`.

Units and their factors are those of :mod:`rules.units.unit_table`.
"""

from __future__ import annotations

import functools
import re
from dataclasses import dataclass

from rules.problems import BadInput
from rules.units.unit_table import Unit, unit_key, unit_spellings

# running hours cannot be converted to calendar time; neither is given in seconds
_RUNNING = frozenset({"h", "min"})
_CALENDAR = frozenset({"days", "months", "years"})

_NUMBER = r"(?:\d+(?:[.,]\d+)?|[.,]\d+)"
_FRACTION = r"(?:(?:(\d+)(?:\s+|-))?(\d+)/(\d+))"
# the fractions of rulers, spanners and screws; 10/12 is two readings, not a fraction
_PARTS = (2, 3, 4, 6, 8, 16, 32, 64)
# a unit does not begin with what may stand between digits, as in 1.000,5 or 1'000 or 1_000 or 1/2
_QUANTITY = re.compile(rf"^\s*([-+]?)({_FRACTION}|{_NUMBER})\s*([^\d\s.,'’_/].*?)?\s*$")
# 1,000 is a thousand in English and one in most of Europe
_GROUPED = re.compile(r"[1-9]\d{0,2},\d{3}")
# a minus sign as documents print it, and marks of writing direction that copied text brings along
_SPELT = str.maketrans(
    {"−": "-"} | dict.fromkeys("\u200e\u200f\u061c\ufeff\u2066\u2067\u2068\u2069")
)
_THRESHOLD = re.compile(
    r"^\s*(target)?\s*(?:([-+])\s*(?=\d)|([x*])\s*(?=\d))?\s*(?:(\d.*?))?\s*$", re.IGNORECASE
)

_MOST_NEAR = 5

# a pack's limits are parsed again at every answer; the size is far above the number of different
# texts in a few packs, and takes little memory
_remembered = functools.lru_cache(maxsize=8192)


class BadQuantity(BadInput):
    """A quantity that cannot be read; the message says what would be accepted."""


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number with the unit its writer used. `unit` is a printed symbol such as `psi`."""

    value: float
    unit: str

    @property
    def kind(self) -> str:
        """`pressure`, `length`, `torque` and so on."""
        return unit_kind(self.unit)

    def to(self, unit: str) -> Quantity:
        """The same quantity in another unit of its kind. Raises `BadQuantity`."""
        own, other = _unit(self.unit), _unit(unit)
        if other.printed == self.unit:
            return self
        if other.kind != own.kind:
            raise BadQuantity(f"{self} is a {own.kind}, not a {other.kind}")
        size = (self.value + own.zero) * (own.factor / other.factor) - other.zero
        return Quantity(size, other.printed)

    def read_in(self, unit: str) -> Quantity:
        """The same as a gauge in `unit` shows it: to three digits where it was written in another.
        Raises `BadQuantity`."""
        there = self.to(unit)
        if there.unit == self.unit:
            return self
        return Quantity(float(f"{there.value:.3g}"), there.unit)

    def __str__(self) -> str:
        return f"{self.value:.4g} {self.unit}".strip()


def _unit(unit: str) -> Unit:
    try:
        return unit_spellings()[unit_key(unit)]
    except KeyError:
        nearest = ", ".join(_spelt_like(unit))
        raise BadQuantity(f"unit {unit!r} is not known; nearest in spelling: {nearest}") from None


def _spelt_like(unit: str) -> list[str]:
    from rapidfuzz import fuzz, process  # noqa: PLC0415  # only needed after a mistake

    printed = {spelling: item.printed for spelling, item in unit_spellings().items()}
    spellings = [spelling for spelling in printed if printed[spelling]]
    near = process.extract(unit_key(unit), spellings, scorer=fuzz.ratio, limit=_MOST_NEAR)
    return list(dict.fromkeys(printed[spelling] for spelling, _, _ in near))


def unit_kind(unit: str) -> str:
    """The kind of quantity a unit spelling measures. Raises `BadQuantity` for an unknown one."""
    return _unit(unit).kind


def units_like(unit: str) -> tuple[str, ...]:
    """The printed units that a figure asked for in `unit` may be given in, its own first; none for
    a plain number. Of time, running hours and the calendar are kept apart."""
    own = _unit(unit)
    others = {item.printed for item in unit_spellings().values() if item.kind == own.kind}
    if own.kind == "time":
        others &= _CALENDAR if own.printed in _CALENDAR else _RUNNING
    return (own.printed, *sorted(others - {own.printed})) if own.printed else ()


def printed_units() -> tuple[str, ...]:
    """Every unit as it is printed."""
    return tuple(sorted({item.printed for item in unit_spellings().values() if item.printed}))


def si_unit(unit: str) -> str:
    """The SI unit of what `unit` measures, as printed; counts, clicks, turns and shares have none
    and keep their own. Raises `BadQuantity` for an unknown unit."""
    return _unit(unit).si


def parse_quantity(text: str, default_unit: str | None = None) -> Quantity:
    """Read `13 psi`. A bare number takes `default_unit` where one is given.

    The same text is parsed once and then remembered. Raises `BadQuantity` naming what was written
    and what would be accepted, also where a figure asked for in `default_unit` may not be given in
    the unit written.
    """
    return _parsed_quantity(text, default_unit)


@_remembered
def _parsed_quantity(text: str, default_unit: str | None) -> Quantity:
    match = _match(text)
    if match is None:
        example = f" such as '12 {default_unit}'" if default_unit else " such as '13 psi'"
        raise BadQuantity(f"{text[:60]!r} is not a number with a unit{example}")
    value = _value(match, text)
    unit: str | None = match[6]
    if unit is None:
        if default_unit is None:
            raise BadQuantity(f"{text!r} needs a unit, such as '{value:g} psi'")
        unit = default_unit
    if default_unit is not None:
        _must_fit(unit, default_unit, text)
    return Quantity(value, _unit(unit).printed)


def parse_range(text: str, unit: str) -> tuple[Quantity, Quantity]:
    """Read `25 to 70 mm`: the lowest and the highest, in the unit written, else in `unit`. Raises
    `BadQuantity`."""
    least, to, most = text.partition(" to ")
    if not to:
        raise BadQuantity(f"{text!r} is not a range; write it like '25 to 70 mm'")
    high = parse_quantity(most, unit)
    low = parse_quantity(least, high.unit or unit)
    if low.to(unit).value >= high.to(unit).value:
        raise BadQuantity(f"{text!r}: write the lowest first")
    return low, high


def with_unit(text: str, unit: str) -> str:
    """`text`, with `unit` after it where it is a number alone."""
    match = _match(text)
    return f"{text.strip()} {unit}".strip() if match is not None and match[6] is None else text


def _match(text: str) -> re.Match[str] | None:
    return _QUANTITY.match(text.translate(_SPELT)) if len(text) <= 60 else None


def _must_fit(unit: str, wanted: str, text: str) -> None:
    """Raises `BadQuantity` unless what is asked for in `wanted` may be given in `unit`."""
    units = units_like(wanted)
    accepted = ", ".join(units) or "a plain number"
    if unit_key(unit) not in unit_spellings():
        use = f"use one of {accepted}" if units else "give a plain number"
        raise BadQuantity(f"unit {unit!r} is not known; {use}")
    given = _unit(unit)
    if given.kind != unit_kind(wanted):
        raise BadQuantity(f"{text!r} is a {given.kind}; give a {unit_kind(wanted)} ({accepted})")
    if units and given.printed not in units:
        raise BadQuantity(f"{text!r} is not counted in {wanted}; give it in {' or '.join(units)}")


def _value(match: re.Match[str], text: str) -> float:
    """What `_QUANTITY` matched before the unit. Raises `BadQuantity`."""
    sign, number, whole, count, parts, _ = match.groups()
    size = _read_number(number, text) if parts is None else _read_fraction(whole, count, parts)
    return -size if sign == "-" else size


def _read_fraction(whole: str | None, count: str, parts: str) -> float:
    if int(parts) not in _PARTS or not 0 < int(count) < int(parts):
        known = ", ".join(map(str, _PARTS))
        raise BadQuantity(
            f"{count}/{parts} is not read; a fraction is less than one, in parts of {known}"
        )
    return int(whole or 0) + int(count) / int(parts)


def _read_number(number: str, text: str) -> float:
    """What `_NUMBER` matched, with a point or a comma before its decimals. Raises `BadQuantity`."""
    if _GROUPED.fullmatch(number):
        one, other = number.replace(",", "."), number.replace(",", "")
        raise BadQuantity(f"{text!r} may mean {one} or {other}; write it without the comma")
    return float(number.replace(",", "."))


@dataclass(frozen=True, slots=True)
class Threshold:
    """A limit, fixed or taken from the target: `target + 8 psi`, `target x 1.5`, `12 mm`."""

    uses_target: bool
    factor: float
    offset: Quantity | None

    def value(self, target: Quantity | None, unit: str) -> float:
        """The limit in `unit`. Raises `BadQuantity` where a target is needed and not given."""
        base = 0.0
        if self.uses_target:
            if target is None:
                raise BadQuantity("this limit is relative to a target, and none is known")
            base = target.to(unit).value * self.factor
        step = 0.0
        if self.offset is not None:
            step = self.offset.to(unit).value
            if self.uses_target and self.offset.kind == "temperature":
                step -= Quantity(0.0, self.offset.unit).to(unit).value
        # so that 0.6 mm x 1.5 is 0.9 mm and not slightly less
        return round(base + step, 9)


def parse_threshold(text: str, unit: str) -> Threshold:
    """Read a threshold whose quantity is of the same kind as `unit`.

    The same text is parsed once and then remembered. Raises `BadQuantity`.
    """
    return _parsed_threshold(text, unit)


@_remembered
def _parsed_threshold(text: str, unit: str) -> Threshold:
    match = _THRESHOLD.match(text) if len(text) <= 60 else None
    if match is None or not (match.group(1) or match.group(4)):
        raise BadQuantity(
            f"{text!r} is not a limit; write '12 {unit}', 'target + 2 {unit}' or 'target x 1.5'"
        )
    target, sign, times, rest = match.groups()
    if not target:
        if sign == "+" or times:
            raise BadQuantity(f"{text!r}: '{sign or times}' needs 'target' before it")
        quantity = parse_quantity(f"{sign or ''}{rest}", unit)
        return Threshold(False, 1.0, quantity)
    if times:
        if not re.fullmatch(_NUMBER, rest):
            raise BadQuantity(f"{text!r}: {rest!r} is not a plain number")
        return Threshold(True, _read_number(rest, text), None)
    if rest is None:
        return Threshold(True, 1.0, None)
    if not sign:
        raise BadQuantity(f"{text!r}: write '+', '-' or 'x' after 'target'")
    return Threshold(True, 1.0, parse_quantity(f"{sign}{rest}", unit))
