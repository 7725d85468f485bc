"""What is felt of an end besides vibration: force, height, and the edge at which the rim is met.

A spring or shut-in air that is too strong is felt as force and height; over a bump it changes the
vibration little, since the peak force of a hit of given energy grows with the root of stiffness.

Source: computed from the same forces that the ride uses.
"""

from collections.abc import Sequence
from functools import cache

import numpy as np

from diagnose.physics.arrays import FloatArray
from diagnose.physics.ride.axle import Axle, Setup
from diagnose.physics.ride.ground import Obstacle
from diagnose.physics.ride.lanes import Lanes, SetupLanes, UnknownScales, build_lanes
from diagnose.physics.ride.obstacles import square_edge
from diagnose.physics.ride.quarter_car import BREAK_AWAY, RIM_ROOM, simulate

__all__ = ["DEEP", "LAST", "rim_edges", "start_force", "stroke_force"]

DEEP, LAST = 2.0 / 3.0, 0.95
"""Shares of the travel that count as deep in the stroke and as its end. Our own choice."""

_EDGES = np.arange(0.030, 0.131, 0.005)
"""m: the edges tried, smallest first."""


def start_force(lanes: Lanes) -> FloatArray:
    """Return the force (N) at the wheel that starts each lane moving from full extension.

    Source: preload, force of the air inside and friction that must be broken (computed).
    """
    nothing = np.zeros(lanes.count)
    force, air = lanes.suspension.forces(nothing)
    start: FloatArray = force + BREAK_AWAY * (lanes.friction + lanes.seal_grip * np.abs(air))
    return start


def stroke_force(lanes: Lanes, share: float) -> FloatArray:
    """Return the force (N) of spring and air at a `share` of the travel.

    Source: :meth:`diagnose.physics.ride.suspension.Suspension.force`.
    """
    return lanes.suspension.force(np.full(lanes.count, share * lanes.suspension.travel))


def rim_edges(axle: Axle, setups: Sequence[Setup]) -> tuple[float | None, ...]:
    """Return for each setup the lowest square edge (m) on which the rim is met at 8 m/s, from 30 to
    130 mm in steps of 5; None where none of them does it.

    Raises `PhysicsError` for a setup that stands beyond the travel.

    Source: computed: squash of the tyre beyond the room over its rim.
    """
    edges = _edges(axle.wheel_radius)
    lanes = build_lanes(axle, SetupLanes.of(setups), UnknownScales.ones(len(setups)))
    each = lanes.take(np.tile(np.arange(len(setups)), len(edges)))
    over = np.repeat(np.arange(len(edges)), len(setups))
    squash = simulate(each, edges, over).greatest_squash.reshape(len(edges), len(setups))
    return tuple(
        float(_EDGES[np.argmax(column > RIM_ROOM)]) if np.any(column > RIM_ROOM) else None
        for column in squash.T
    )


@cache
def _edges(wheel_radius: float) -> tuple[Obstacle, ...]:
    return tuple(square_edge(wheel_radius, height=float(height), duration=0.3) for height in _EDGES)
