"""The two-mass model of one end, driven over an obstacle in many lanes at once.

Model: a sprung and an unsprung mass; a tyre that pushes but never pulls (the wheel can leave
the ground); spring, trapped air, bump stop and top-out spring; digressive damping; dry
friction that holds below 5 mm/s. Pitch, the other wheel, chain pull and braking are left out,
and the rider is part of the sprung mass.

Method: leapfrog in position, with damper and friction taken implicitly at mid-step
(:mod:`diagnose.physics.ride.damper_step`). It is second order in the step. Tests check it against
its energy balance and the closed forms of :mod:`diagnose.physics.damping.two_mass`.

Source: the two-mass model is in every text on vehicle dynamics (from memory).
"""

from dataclasses import dataclass

import numpy as np

from diagnose.physics.arrays import FloatArray
from diagnose.physics.atmosphere import STANDARD_GRAVITY
from diagnose.physics.errors import PhysicsError, positive
from diagnose.physics.ride.damper_step import DamperStep
from diagnose.physics.ride.lanes import Lanes
from diagnose.physics.ride.single_lane import run_single

__all__ = ["Motion", "Traces", "simulate"]

_BLOCK = 2_304
"""Most lanes run together; more would push the working arrays out of the processor's cache."""


@dataclass(frozen=True, slots=True)
class Traces:
    """The inner movement, row per step and column per lane, for checks and drawings.

    `travel`: wheel travel (m).
    `axle`: height (m) of the axle above where the unloaded tyre just touches flat ground.
    `travel_speed`: travel speed (m/s), compression positive.
    `axle_speed`: axle speed (m/s), up positive.
    `damper_force`: force (N) of damper and friction together, compression positive.
    `tyre_force`: force (N) of the ground on the tyre, never negative.
    """

    travel: FloatArray
    axle: FloatArray
    travel_speed: FloatArray
    axle_speed: FloatArray
    damper_force: FloatArray
    tyre_force: FloatArray

    @staticmethod
    def empty(steps: int, lanes: int) -> "Traces":
        """Return traces to be filled in."""
        return Traces(**{name: np.empty((steps, lanes)) for name in Traces.__slots__})


@dataclass(frozen=True, slots=True)
class Motion:
    """What happened, column per lane.

    `time_step`: s between rows.
    `acceleration`: vertical acceleration (m/s²) of the sprung mass, row per step.
    `rest_travel`: travel (m) the lane stood at before.
    `greatest_travel`: most travel (m) used.
    `traces`: the inner movement, where it was asked for.
    """

    time_step: float
    acceleration: FloatArray
    rest_travel: FloatArray
    greatest_travel: FloatArray
    traces: Traces | None = None


def simulate(
    lanes: Lanes, road: FloatArray, time_step: float, *, with_traces: bool = False
) -> Motion:
    """Drive every lane over a road, starting from rest at its own sag.

    `lanes`: the variants.
    `road`: height (m) under the axle, one value a step, the first taken as flat before.
    `time_step`: s between road values, at most 4 ms.
    `with_traces`: keep the inner movement too.

    Raises `PhysicsError` for a road of fewer than two values or with values that are not numbers, a
    step out of range, or a lane that stands beyond its travel.

    Source: see the head of this module.
    """
    if road.ndim != 1 or road.size < 2 or not np.all(np.isfinite(road)):
        raise PhysicsError(
            f"road has shape {road.shape}; a row of two or more ordinary numbers is needed"
        )
    if positive("time step", time_step, "s") > 0.004:
        raise PhysicsError(f"time step is {time_step:g} s; it must be 0.004 s or less")
    rest = lanes.rest_travel()
    if lanes.count == 1 and not with_traces:
        return _checked(_run_one(lanes, rest, road, time_step))
    size = -(-lanes.count // -(-lanes.count // _BLOCK))
    blocks = [
        _checked(_run(lanes.slice(a, a + size), rest[a : a + size], road, time_step, with_traces))
        for a in range(0, lanes.count, size)
    ]
    if len(blocks) == 1:
        return blocks[0]
    return Motion(
        time_step=time_step,
        acceleration=np.concatenate([b.acceleration for b in blocks], axis=1),
        rest_travel=rest,
        greatest_travel=np.concatenate([b.greatest_travel for b in blocks]),
        traces=_joined([b.traces for b in blocks if b.traces is not None]),
    )


def _checked(motion: Motion) -> Motion:
    if not np.all(np.isfinite(motion.acceleration[-1])):
        raise PhysicsError(
            f"the simulation ran away at a step of {motion.time_step:g} s; a shorter step is needed"
        )
    return motion


def _run_one(lanes: Lanes, rest: FloatArray, road: FloatArray, dt: float) -> Motion:
    road_speed = np.gradient(road, dt)
    row, most = run_single(lanes, float(rest[0]), road.tolist(), road_speed.tolist(), dt)
    return Motion(dt, np.array(row)[:, None], rest, np.array([most]))


def _joined(parts: list[Traces]) -> Traces | None:
    if not parts:
        return None
    return Traces(
        **{
            name: np.concatenate([getattr(part, name) for part in parts], axis=1)
            for name in Traces.__slots__
        }
    )


def _run(lanes: Lanes, rest: FloatArray, road: FloatArray, dt: float, with_traces: bool) -> Motion:
    reduced = 1.0 / (1.0 / lanes.sprung_mass + 1.0 / lanes.unsprung_mass)
    half_step_per_mass = dt / (2.0 * reduced)
    damper = DamperStep.of(
        (lanes.low_compression, lanes.high_compression, lanes.compression_knee),
        (lanes.low_rebound, lanes.high_rebound, lanes.rebound_knee),
        lanes.friction,
        half_step_per_mass,
    )
    to_sprung = 2.0 * reduced / lanes.sprung_mass
    to_unsprung = 2.0 * reduced / lanes.unsprung_mass
    dt_sprung, dt_unsprung = dt / lanes.sprung_mass, dt / lanes.unsprung_mass
    dt_gravity = dt * STANDARD_GRAVITY

    weight = (lanes.sprung_mass + lanes.unsprung_mass) * STANDARD_GRAVITY
    axle = road[0] - weight / lanes.tyre_stiffness
    body = axle - rest
    body_speed, axle_speed = np.zeros(lanes.count), np.zeros(lanes.count)
    most = rest.copy()
    accelerations = np.empty((road.size, lanes.count))
    traces = Traces.empty(road.size, lanes.count) if with_traces else None

    for step, (ground, ground_speed) in enumerate(zip(road, np.gradient(road, dt), strict=True)):
        travel = axle - body
        np.maximum(most, travel, out=most)
        force = lanes.suspension.force(travel)
        tyre = (ground - axle) * lanes.tyre_stiffness
        tyre += (ground_speed - axle_speed) * lanes.tyre_damping
        np.maximum(tyre, 0.0, out=tyre)

        body_gain = force * dt_sprung
        body_gain -= dt_gravity
        axle_gain = tyre - force
        axle_gain *= dt_unsprung
        axle_gain -= dt_gravity
        free = axle_gain - body_gain
        free *= 0.5
        free += axle_speed
        free -= body_speed
        mid = damper.mid_speed(free)
        push = free - mid
        body_gain += push * to_sprung
        axle_gain -= push * to_unsprung

        body_speed += body_gain
        axle_speed += axle_gain
        np.divide(body_gain, dt, out=accelerations[step])
        if traces is not None:
            traces.travel[step] = travel
            traces.axle[step] = axle
            traces.travel_speed[step] = mid
            traces.axle_speed[step] = axle_speed - 0.5 * axle_gain
            traces.damper_force[step] = push / half_step_per_mass
            traces.tyre_force[step] = tyre
        body += body_speed * dt
        axle += axle_speed * dt

    return Motion(dt, accelerations, rest, most, traces)
