"""One number for how harsh an end feels over an obstacle.

harshness = weighted r.m.s. + weighted peak / 9, in m/s².

The weighting is Wh where the hands feel the end and Wk where the body does. The peak is
divided by 9 because ISO 2631-1 takes a crest factor of 9 as the point from which the r.m.s.
value alone is no longer enough (from memory): at that point both halves count alike.
The sum itself is our own definition. It compares a bike with itself over the same obstacle;
it is not an exposure value, and numbers over two obstacles cannot be compared.
"""

from dataclasses import dataclass

import numpy as np

from diagnose.physics.arrays import FloatArray
from diagnose.physics.ride.axle import Axle, Contact, Setup
from diagnose.physics.ride.ground import Obstacle
from diagnose.physics.ride.lanes import Lanes, SetupLanes, UnknownScales, build_lanes
from diagnose.physics.ride.quarter_car import simulate
from diagnose.physics.ride.weighting import WH, WK, weighted

__all__ = ["Harshness", "harshness", "harshness_of_lanes"]

CREST_FACTOR = 9.0
"""Without unit. Source: ISO 2631-1, 6.2.1, from memory."""


@dataclass(frozen=True, slots=True)
class Harshness:
    """How harsh one end feels over one obstacle.

    `value`: the number to compare (m/s²).
    `weighted_rms`: r.m.s. of the weighted acceleration (m/s²) over the obstacle.
    `weighted_peak`: greatest weighted acceleration (m/s²).
    `greatest_travel`: most travel (m) used.
    `bottomed`: whether all travel was used: harshness that more compression or spring
        cures, not less.
    """

    value: float
    weighted_rms: float
    weighted_peak: float
    greatest_travel: float
    bottomed: bool


def _felt(lanes: Lanes, contact: Contact, obstacle: Obstacle) -> tuple[FloatArray, ...]:
    motion = simulate(lanes, obstacle.road, obstacle.time_step)
    curve = WH if contact is Contact.HANDS else WK
    # The transform is twice as fast over rows that are contiguous in memory.
    felt = weighted(np.ascontiguousarray(motion.acceleration.T), obstacle.time_step, curve)
    rms: FloatArray = np.sqrt(np.einsum("ij,ij->i", felt, felt) / felt.shape[1])
    peak: FloatArray = np.maximum(felt.max(axis=1), -felt.min(axis=1))
    return rms, peak, motion.greatest_travel


def harshness_of_lanes(lanes: Lanes, contact: Contact, obstacle: Obstacle) -> FloatArray:
    """Return the harshness (m/s²) of every lane over `obstacle`.

    Raises `PhysicsError` for a lane that stands beyond its travel.

    Source: see the head of this module.
    """
    rms, peak, _ = _felt(lanes, contact, obstacle)
    value: FloatArray = rms + peak / CREST_FACTOR
    return value


def harshness(axle: Axle, setup: Setup, obstacle: Obstacle) -> Harshness:
    """Return how harsh one end, set as `setup`, feels over `obstacle`.

    Raises `PhysicsError` for an end that stands beyond its travel.

    Source: see the head of this module.
    """
    lanes = build_lanes(axle, SetupLanes.of([setup]), UnknownScales.ones(1))
    rms, peak, travel = (float(part[0]) for part in _felt(lanes, axle.contact, obstacle))
    return Harshness(
        value=rms + peak / CREST_FACTOR,
        weighted_rms=rms,
        weighted_peak=peak,
        greatest_travel=travel,
        bottomed=travel >= axle.travel,
    )
