"""One number for how harsh an end feels over an obstacle, and how many steps of feeling that is.

harshness = fourth root of the mean fourth power of the weighted acceleration, in m/s²: it minds
shocks more than the r.m.s. value does. Source: the root mean quad of BS 6841, from memory.

The weighting is Wk where the body feels the end. Where the hands do it is Wh with its lower corner
moved from 6.3 to 2 Hz, since hands feel pushes below 6 Hz as well; our own choice, under which the
order of faults is that of plain Wh (computed). It compares a bike with itself over the same
obstacle; it is not an exposure value, and numbers over two obstacles cannot be compared.

A felt step is a change by ten per cent. Source: people tell vibration apart from 5 to 15 % on
(Morioka and Griffin, 2000, about 10 % at 5 and 20 Hz; Human Factors 60(6), 15 % for riders of
road bicycles on random ground; abstracts seen).
"""

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import TypeVar

import numpy as np

from diagnose.physics.arrays import FloatArray
from diagnose.physics.ride.axle import Axle, Contact, Setup
from diagnose.physics.ride.ground import Obstacle
from diagnose.physics.ride.lanes import Lanes, SetupLanes, UnknownScales, build_lanes
from diagnose.physics.ride.quarter_car import simulate
from diagnose.physics.ride.weighting import WH, WK, weighted

__all__ = [
    "FELT",
    "FELT_STEP",
    "felt_and_travel",
    "felt_steps",
    "harshness",
    "harshness_of_lanes",
]

FELT = {Contact.HANDS: replace(WH, f1=2.0), Contact.BODY: WK}
"""The weighting by where an end is felt."""

FELT_STEP = 1.10
"""Ratio of two feelings that can just be told apart. Source: see the head of this module."""

_Ratio = TypeVar("_Ratio", float, FloatArray)


def felt_steps(ratio: _Ratio) -> _Ratio:
    """Return how many steps of feeling a ratio above zero is; below 1 it counts downwards.

    Source: logarithm to the base of one step.
    """
    steps: _Ratio = np.log(ratio) / math.log(FELT_STEP)
    return steps


def felt_and_travel(
    lanes: Lanes, contact: Contact, obstacles: Sequence[Obstacle]
) -> tuple[FloatArray, FloatArray]:
    """Return harshness (m/s²) and most travel (m) used, row per obstacle and column per lane.

    Raises `PhysicsError` for a lane that stands beyond its travel, or no obstacle.

    Source: see the head of this module.
    """
    count = lanes.count
    each = lanes.take(np.tile(np.arange(count), len(obstacles)))
    motion = simulate(each, obstacles, np.repeat(np.arange(len(obstacles)), count))
    # The transform is twice as fast over rows that are contiguous in memory.
    rows = np.ascontiguousarray(motion.acceleration.T)
    values = np.empty((len(obstacles), count))
    for number, obstacle in enumerate(obstacles):
        length = obstacle.road.size
        felt = weighted(
            rows[number * count : (number + 1) * count, :length], obstacle.time_step, FELT[contact]
        )
        np.square(felt, out=felt)
        values[number] = np.sqrt(np.sqrt(np.einsum("ij,ij->i", felt, felt) / length))
    return values, motion.greatest_travel.reshape(len(obstacles), count)


def harshness_of_lanes(lanes: Lanes, contact: Contact, obstacles: Sequence[Obstacle]) -> FloatArray:
    """Return the harshness (m/s²) as :func:`felt_and_travel`."""
    return felt_and_travel(lanes, contact, obstacles)[0]


def harshness(axle: Axle, setup: Setup, obstacle: Obstacle) -> float:
    """Return how harsh (m/s²) one end, set as `setup`, feels over `obstacle`.

    Raises `PhysicsError` for an end that stands beyond its travel.

    Source: see the head of this module.
    """
    lanes = build_lanes(axle, SetupLanes.of([setup]), UnknownScales.ones(1))
    return float(harshness_of_lanes(lanes, axle.contact, [obstacle])[0, 0])
