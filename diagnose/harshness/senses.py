"""What is felt of an end besides vibration, as lines of their own: force, height, and the rim."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from diagnose.harshness.compared_bike import HarshnessCase
from diagnose.harshness.values import End
from diagnose.physics.arrays import FloatArray
from diagnose.physics.budget.axle_budget import SURVEY_DRAWS, Estimate
from diagnose.physics.budget.unknowns import Unknowns, draw
from diagnose.physics.ride.axle import Axle, Setup
from diagnose.physics.ride.force_and_rim import DEEP, LAST, rim_edges, start_force, stroke_force
from diagnose.physics.ride.harshness import felt_steps
from diagnose.physics.ride.lanes import SetupLanes, build_lanes

__all__ = ["HEIGHT_STEP", "RIM_SPARE", "Rim", "Sense", "rim_of", "safe_from", "senses_of"]

HEIGHT_STEP = 0.005
"""m of rest height that can just be told apart. Our own choice."""

RIM_SPARE = 0.0075
"""m by which the edge that meets the rim may be lower than it should be before a tyre is called
too soft. Our own choice: two of the steps in which edges are tried."""

_SEED = 8608


@dataclass(frozen=True, slots=True)
class Sense:
    """One thing felt, as measured and as it should be.

    `name`: `start`, `deep`, `last` or `height`.
    `title`: what it is, in shop words.
    `unit`: of both.
    `measured`, `target`: best guess.
    `steps`: felt steps upward (firmer, higher); None where a push by hand shows it, not a ride.
    """

    name: str
    title: str
    unit: str
    measured: float
    target: float
    steps: Estimate | None


@dataclass(frozen=True, slots=True)
class Rim:
    """The lowest square edge (m) at 8 m/s on which the rim is met; None where none up to 130 mm."""

    measured: float | None
    target: float | None


def senses_of(case: HarshnessCase, end: End) -> tuple[Sense, ...]:
    """Force to start, deep in the stroke and at its end, and rest height of one end.

    Raises `PhysicsError` for settings that stand beyond the travel.
    """
    measured, target = case.setups(end)
    axle = case.axle(end)
    start, deep, last, stands = _forces(axle, measured, target)
    up = (stands[1] - stands[0]) / HEIGHT_STEP
    return (
        Sense(
            "start", "force that starts it from full extension", "N", start[0, 0], start[1, 0], None
        ),
        Sense(
            "deep", "force two thirds down", "N", deep[0, 0], deep[1, 0],
            Estimate.of(felt_steps(deep[0] / deep[1])),
        ),
        Sense(
            "last", "force at the end of its stroke", "N", last[0, 0], last[1, 0],
            Estimate.of(felt_steps(last[0] / last[1])),
        ),
        Sense(
            "height", "sag at the wheel, rider on", "mm",
            1000.0 * stands[0, 0], 1000.0 * stands[1, 0], Estimate.of(up),
        ),
    )  # fmt: skip


def _forces(axle: Axle, measured: Setup, target: Setup) -> tuple[FloatArray, ...]:
    """Each in two rows, as measured and as it should be, a column a draw."""
    scales = draw(Unknowns(), SURVEY_DRAWS, np.random.default_rng(_SEED))
    setups = [one for one in (measured, target) for _ in range(SURVEY_DRAWS)]
    lanes = build_lanes(axle, SetupLanes.of(setups), scales.tiled(2))
    parts = (
        start_force(lanes),
        stroke_force(lanes, DEEP),
        stroke_force(lanes, LAST),
        lanes.rest_travel(),
    )
    return tuple(part.reshape(2, SURVEY_DRAWS) for part in parts)


def rim_of(case: HarshnessCase, end: End) -> Rim:
    """The edge at which the rim is met, as measured and as it should be."""
    return Rim(*rim_edges(case.axle(end), case.setups(end)))


@lru_cache(maxsize=64)
def safe_from(axle: Axle, target: Setup) -> float:
    """The tyre pressure (Pa) from which an end that is otherwise as it should be meets the rim on
    no edge much lower than it should; half of what it should be where that is low enough.

    Source: computed, as :class:`Rim`.
    """
    pressures = np.linspace(0.5, 1.0, 11) * target.tyre_pressure
    setups = [replace(target, tyre_pressure=float(pressure)) for pressure in pressures]
    edges = rim_edges(axle, setups)
    should = edges[-1]
    if should is None:
        return float(pressures[0])
    for pressure, edge in zip(pressures[::-1], edges[::-1], strict=True):
        if edge is not None and should - edge >= RIM_SPARE:
            break
        safe = float(pressure)
    return safe
