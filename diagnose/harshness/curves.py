"""Harshness over one value of an end, everything else as measured: best guess, without ranges."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from diagnose.harshness.compared_bike import HarshnessCase, Used, build_case
from diagnose.harshness.senses import safe_from
from diagnose.harshness.shares import obstacles_at
from diagnose.harshness.values import VALUES, End, KnownValues, Value
from diagnose.physics.arrays import FloatArray
from diagnose.physics.budget.factors import Factor
from diagnose.physics.ride.axle import Setup
from diagnose.physics.ride.ground import Obstacle
from diagnose.physics.ride.harshness import harshness_of_lanes
from diagnose.physics.ride.lanes import SetupLanes, UnknownScales, build_lanes
from rules.problems import BadInput
from rules.units.quantities import Quantity

__all__ = ["Curve", "curve_over", "curves"]

# first and last setting of a curve, and how many; other units run over the usual range
_SPANS = {"clicks": (0.0, 24.0, 25)}
_SETTINGS = 25
# of a tyre's figure: the ends of its curve, and what counts as too hard where the kind is not
# known; our own choice
_TYRE_SPAN, _TYRE_HARD = (0.4, 2.0), 1.5


@dataclass(frozen=True, slots=True)
class Curve:
    """Harshness against one setting, the others as measured.

    `title`: what is turned.
    `unit`: of `values`.
    `values`: the settings.
    `now`: the setting as measured.
    `safe`: over tyre pressure, from where the rim is spared up to what the kind is built to.
    `harshness`: by obstacle, percent of the harshness as it should be, one number a setting.
    """

    title: str
    unit: str
    values: tuple[float, ...]
    now: float
    harshness: dict[str, tuple[float, ...]]
    safe: tuple[float, float] | None = None

    def in_unit(self, unit: str) -> Curve:
        """The same curve with its settings in another unit of their kind."""

        def told(size: float) -> float:
            return Quantity(size, self.unit).to(unit).value

        safe = None if self.safe is None else (told(self.safe[0]), told(self.safe[1]))
        values = tuple(map(told, self.values))
        return replace(self, unit=unit, values=values, now=told(self.now), safe=safe)


def curves(case: HarshnessCase, end: End, rides: Sequence[str]) -> tuple[Curve, ...]:
    """Harshness over tyre pressure and over compression clicks, on the `rides` named.

    Raises `PhysicsError` for settings that stand beyond the travel.
    """
    obstacles = [item for item in obstacles_at(case, end) if item.name in rides]
    turned = (Factor.TYRE_PRESSURE, Factor.LOW_SPEED_COMPRESSION)
    names = (v.name for v in VALUES.values() if v.end is end and v.factor in turned)
    return tuple(curve_over(case, name, obstacles) for name in names)


def curve_over(case: HarshnessCase, name: str, obstacles: Sequence[Obstacle]) -> Curve:
    """Harshness over the value called `name`, in its own unit.

    Impossible settings are left out. Raises `BadInput` where nothing is left.
    """
    value, used = VALUES[name], case.used_value(name)
    assert value.end is not None
    now = (used.measured or used.target).to(value.unit).value
    settings = [
        (float(size), setup)
        for size in _sizes(value, used, now)
        if (setup := _with(case.known, name, Quantity(float(size), value.unit))) is not None
    ]
    axle, target = case.axle(value.end), case.setups(value.end)[1]
    lanes = build_lanes(
        axle,
        SetupLanes.of([*(setup for _, setup in settings), target]),
        UnknownScales.ones(len(settings) + 1),
    )
    every = harshness_of_lanes(lanes, axle.contact, obstacles)
    lines = {
        obstacle.name: tuple(float(100.0 * item) for item in felt[:-1] / felt[-1])
        for obstacle, felt in zip(obstacles, every, strict=True)
    }
    sizes = tuple(size for size, _ in settings)
    safe = _safe(case, value) if value.factor is Factor.TYRE_PRESSURE else None
    return Curve(value.label.lower(), value.unit, sizes, now, lines, safe)


def _safe(case: HarshnessCase, value: Value) -> tuple[float, float]:
    """The safe range of a tyre's pressure, in the unit of the value."""
    assert value.end is not None
    low = Quantity(safe_from(case.axle(value.end), case.setups(value.end)[1]), "Pa")
    figure = case.used_value(value.name).target.to(value.unit).value
    kind = case.known.usual.get(value.name)
    high = _TYRE_HARD * figure if kind is None else kind[1].to(value.unit).value
    return low.to(value.unit).value, max(high, figure)


def _sizes(value: Value, used: Used, now: float) -> FloatArray:
    low, high, count = _SPANS.get(value.unit, (*value.usual, _SETTINGS))
    if value.unit == "clicks":
        return np.arange(low, max(high, now) + 1.0, dtype=np.float64)
    if value.factor is Factor.TYRE_PRESSURE:
        figure = used.target.to(value.unit).value
        low, high = (share * figure for share in _TYRE_SPAN)
    return np.linspace(min(low, now), max(high, now), count)


def _with(known: KnownValues, name: str, size: Quantity) -> Setup | None:
    """The end with the value called `name` at `size`; None where that is impossible."""
    end = VALUES[name].end
    assert end is not None
    try:
        with_it = replace(known, measured={**known.measured, name: size})
        return build_case(with_it).setups(end)[0]
    except BadInput:
        return None
