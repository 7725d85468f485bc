"""Which state a reading is in: the bands of a measurement or of a computed finding, in numbers."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Literal, NamedTuple

from rules.language.schema import Band, Observation
from rules.units.quantities import Quantity, parse_threshold

DECIMALS = 9
"""Readings and limits are compared to this many decimals: enough for any instrument, and few enough
that equal figures are equal as floats."""
HALF_STEP: float = 0.5 * 10**-DECIMALS
"""Half of the last decimal: the difference of two readings exceeds a margin if it does by more."""
_FAR = 1e9  # durable-rules has no infinity


class StateBand(NamedTuple):
    """The readings from `low` to `high` mean `state`. `side` says which ends belong to it: `above`
    the upper one alone, `below` the lower one alone, `normal` both."""

    side: Literal["above", "below", "normal"]
    state: str
    low: float
    high: float

    def holds(self, value: float) -> bool:
        """Whether a reading lies in this band."""
        if self.side == "above":
            return self.low < value <= self.high
        if self.side == "below":
            return self.low <= value < self.high
        return self.low <= value <= self.high


def comparable(quantity: Quantity, unit: str) -> float:
    """A quantity as the number in `unit` by which it is compared. Raises `BadQuantity`."""
    return float(round(quantity.to(unit).value, DECIMALS))


def bands_of(
    bands: Sequence[Band], unit: str, normal: str, target: Quantity | None
) -> Iterator[StateBand]:
    """The bands in numbers of `unit`; together they cover every reading once. None without `bands`.

    Raises `BadQuantity` where a limit starts from a target and there is none.
    """
    top, bottom = _FAR, -_FAR
    for band in bands:
        limit = parse_threshold(band.above or band.below or "", unit).value(target, unit)
        if band.above is not None:
            yield StateBand("above", band.state, limit, max(limit, top))
            top = min(top, limit)
        else:
            yield StateBand("below", band.state, min(limit, bottom), limit)
            bottom = max(bottom, limit)
    if bands and bottom <= top:
        yield StateBand("normal", normal, bottom, top)


def reading_bands(entry: Observation, target: Quantity | None) -> Iterator[StateBand]:
    """The bands of a measurement, in its own unit; see `bands_of`."""
    assert entry.unit is not None
    return bands_of(entry.bands, entry.unit, entry.normal, target)


def state_of_reading(entry: Observation, target: Quantity | None, value: float) -> str:
    """The state of a reading given in the measurement's unit; the normal one without bands."""
    within = (band.state for band in reading_bands(entry, target) if band.holds(value))
    return next(within, entry.normal)
