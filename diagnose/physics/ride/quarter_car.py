"""The model of one end, ridden over several obstacles in many lanes at once.

Model: a sprung mass, part of which is the rider on bent legs and arms, and an unsprung mass; a tyre
that pushes but never pulls, is softer on an edge and hard once the rim is met; spring, trapped air,
bump stop and top-out spring; a bleed beside preloaded shims; dry friction that gives a little
before it slides, grips harder at a standstill, and grows with the pressure at the seals and with
the load across the bushes. Power and brakes change the weight that the end carries. Pitch, the
other wheel and chain pull are left out.

Method: leapfrog in position, with the damper taken implicitly at mid-step
(:mod:`diagnose.physics.ride.damper_step`). It is second order in the step. Tests check it against
its energy balance and the closed forms of :mod:`diagnose.physics.damping.two_mass`.

Source: the two-mass model is in every text on vehicle dynamics (from memory). That starting grip is
above running grip, grows with pressure at a seal and with side force on a bush: sheets and papers
named in `tests/published/test_printed_rides.py`; the sizes are our own or from memory.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from diagnose.physics.arrays import FloatArray, IntArray
from diagnose.physics.atmosphere import STANDARD_GRAVITY
from diagnose.physics.errors import PhysicsError
from diagnose.physics.ride.damper_step import DamperStep
from diagnose.physics.ride.ground import Ground, Obstacle
from diagnose.physics.ride.lanes import Lanes

__all__ = ["BREAK_AWAY", "RIM_ROOM", "Motion", "Traces", "simulate"]

_BLOCK = 1_024
"""Most lanes run together; more would push the working arrays out of the processor's cache."""

BREAK_AWAY = 1.4
"""Friction that must be broken over friction while sliding. Our own choice; print has up to 3 for
an O-ring that stood for long."""

_STILL = 0.02
"""m/s over which the grip of standing still is lost. Our own choice."""

_GIVE, _GIVE_UP_TO = 0.000_25, 500.0
"""m that seals and bushes give before they slide, and the friction (N) up to which that holds. Our
own choice."""

_EDGE_SHARE = 0.5
"""Stiffness of a tyre's air on an edge over that on flat ground: half of the patch is in the air.
From memory."""

RIM_ROOM, _RIM_STIFFNESS = 0.055, 800_000.0
"""m of squash at which the rim is met, and N/m from there on. From memory."""

_PATCH_SHARE = 0.8
"""Share of the patch over which a road is evened out. From memory, for tandem cams."""

_RIDER_FREQUENCY, _RIDER_DAMPING = 3.0, 0.4
"""Hz and damping ratio of a rider on bent legs and arms. From memory."""


@dataclass(frozen=True, slots=True)
class Traces:
    """The inner movement, row per step and column per lane, for checks and drawings.

    `travel`: wheel travel (m).
    `axle`: height (m) of the axle above where the unloaded tyre just touches flat ground.
    `travel_speed`: travel speed (m/s), compression positive.
    `axle_speed`: axle speed (m/s), up positive.
    `damper_force`: force (N) of the damper, compression positive.
    `friction_force`: force (N) of dry friction, compression positive.
    `tyre_force`: force (N) of the ground on the tyre, never negative.
    """

    travel: FloatArray
    axle: FloatArray
    travel_speed: FloatArray
    axle_speed: FloatArray
    damper_force: FloatArray
    friction_force: FloatArray
    tyre_force: FloatArray

    @staticmethod
    def empty(steps: int, lanes: int) -> "Traces":
        """Return traces to be filled in."""
        return Traces(**{name: np.empty((steps, lanes)) for name in Traces.__slots__})


@dataclass(frozen=True, slots=True)
class Motion:
    """What happened, column per lane.

    `time_step`: s between rows.
    `acceleration`: vertical acceleration (m/s²) of the bike's sprung part, row per step.
    `rest_travel`: travel (m) the lane stood at before.
    `greatest_travel`: most travel (m) used.
    `greatest_squash`: most that the tyre was squashed (m).
    `traces`: the inner movement, where it was asked for.
    """

    time_step: float
    acceleration: FloatArray
    rest_travel: FloatArray
    greatest_travel: FloatArray
    greatest_squash: FloatArray
    traces: Traces | None = None


def simulate(
    lanes: Lanes,
    obstacles: Sequence[Obstacle],
    over: IntArray | None = None,
    *,
    with_traces: bool = False,
) -> Motion:
    """Ride every lane over an obstacle, starting from rest at its own sag.

    `lanes`: the variants.
    `obstacles`: all with the same time step, at most 4 ms; shorter ones go on level.
    `over`: number of the obstacle of each lane; left out means the first for all.
    `with_traces`: keep the inner movement too.

    Raises `PhysicsError` for no obstacle, a step out of range, or a lane that stands beyond its
    travel.

    Source: see the head of this module.
    """
    ground = Ground.of(obstacles)
    if ground.time_step > 0.004:
        raise PhysicsError(f"time step is {ground.time_step:g} s; it must be 0.004 s or less")
    which = np.zeros(lanes.count, dtype=np.int64) if over is None else over
    count = -(-lanes.count // _BLOCK)
    blocks = [
        _checked(_run(lanes.take(part), ground, which[part], with_traces))
        for part in np.array_split(np.arange(lanes.count), count)
    ]
    if len(blocks) == 1:
        return blocks[0]
    traces = [block.traces for block in blocks if block.traces is not None]

    def joined(name: str) -> FloatArray:
        return np.concatenate([getattr(block, name) for block in blocks], axis=-1)

    return Motion(
        time_step=ground.time_step,
        acceleration=joined("acceleration"),
        rest_travel=joined("rest_travel"),
        greatest_travel=joined("greatest_travel"),
        greatest_squash=joined("greatest_squash"),
        traces=_joined(traces) if traces else None,
    )


def _checked(motion: Motion) -> Motion:
    if not np.all(np.isfinite(motion.acceleration[-1])):
        raise PhysicsError(
            f"the simulation ran away at a step of {motion.time_step:g} s; a shorter step is needed"
        )
    return motion


def _joined(parts: list[Traces]) -> Traces:
    return Traces(
        **{
            name: np.concatenate([getattr(part, name) for part in parts], axis=1)
            for name in Traces.__slots__
        }
    )


# one loop over the steps, so that nothing is looked up or copied inside it
def _run(  # noqa: PLR0915
    lanes: Lanes, ground: Ground, over: IntArray, with_traces: bool
) -> Motion:
    dt, law = ground.time_step, lanes.suspension
    rider_mass = lanes.rider_mass
    body_mass = lanes.sprung_mass - rider_mass
    half_step = 0.5 * dt * (1.0 / body_mass + 1.0 / lanes.unsprung_mass)
    damper = DamperStep.of(
        (lanes.compression_bleed, lanes.compression_opens, lanes.compression_slope),
        (lanes.rebound_bleed, lanes.rebound_opens, lanes.rebound_slope),
        half_step,
    )
    dt_body, dt_axle = dt / body_mass, dt / lanes.unsprung_mass
    load = 1.0 + lanes.load_share * ground.load_shifts[over]
    dt_gravity, dt_load = dt * STANDARD_GRAVITY, dt * STANDARD_GRAVITY * load

    rest = lanes.rest_travel(load)
    weight = (lanes.sprung_mass * load + lanes.unsprung_mass) * STANDARD_GRAVITY
    stiffness = lanes.tyre_stiffness
    squash = weight / stiffness
    patch = _PATCH_SHARE * 2.0 * np.sqrt(2.0 * lanes.wheel_radius * squash)
    column, way = ground.columns(over, patch)
    softer = (1.0 - _EDGE_SHARE) * lanes.tyre_air

    # friction as found standing holds what the bushes of a standing fork add to it
    sine, cosine = math.sin(lanes.lean), math.cos(lanes.lean)
    standing = (lanes.sprung_mass + lanes.unsprung_mass) * STANDARD_GRAVITY
    dry = np.maximum(lanes.friction - lanes.bush_grip * standing * sine, 0.0)
    per_slope = cosine / np.maximum(ground.speeds[over], 1.0)
    upright = sine - ground.brakings[over] * cosine
    give = _GIVE * np.maximum(lanes.friction / _GIVE_UP_TO, 1.0)

    arm_spring = rider_mass * (2.0 * math.pi * _RIDER_FREQUENCY) ** 2
    arm_damper = 2.0 * _RIDER_DAMPING * rider_mass * 2.0 * math.pi * _RIDER_FREQUENCY
    ridden = bool(np.any(rider_mass > 0.0))
    dt_rider = dt / np.where(rider_mass > 0.0, rider_mass, 1.0)

    axle = ground.heights[0][column] - squash
    body = axle - rest
    rider = body - STANDARD_GRAVITY * load / (2.0 * math.pi * _RIDER_FREQUENCY) ** 2
    body_speed, axle_speed, rider_speed = (np.zeros(lanes.count) for _ in range(3))
    bristle = np.zeros(lanes.count)
    most, most_squash = rest.copy(), squash.copy()
    steps = ground.heights.shape[0]
    accelerations = np.empty((steps, lanes.count))
    traces = Traces.empty(steps, lanes.count) if with_traces else None
    any_edge: FloatArray = ground.edges.max(axis=1)

    for step in range(steps):
        height, rate = ground.heights[step], ground.rates[step]
        travel = axle - body
        np.maximum(most, travel, out=most)
        force, inside = law.forces(travel)

        squash = height[column]
        squash += way * (height[column + 1] - squash)
        squash -= axle
        np.maximum(most_squash, squash, out=most_squash)
        rise = rate[column]
        rise += way * (rate[column + 1] - rise)
        tyre = stiffness - softer * ground.edges[step][over] if any_edge[step] else stiffness
        tyre = tyre * squash
        tyre += lanes.tyre_damping * (rise - axle_speed) * (squash > 0.0)
        tyre += _RIM_STIFFNESS * np.maximum(squash - RIM_ROOM, 0.0)
        np.maximum(tyre, 0.0, out=tyre)

        grip = dry
        if lanes.bush_grip:
            grip = dry + lanes.bush_grip * tyre * np.abs(upright - rise * per_slope)
        if law.has_air:
            grip = grip + lanes.seal_grip * np.abs(inside)
        sliding = axle_speed - body_speed
        limit = np.exp(-((sliding / _STILL) ** 2))
        limit *= BREAK_AWAY - 1.0
        limit += 1.0
        limit *= give
        bristle += dt * sliding
        np.minimum(bristle, limit, out=bristle)
        np.maximum(bristle, -limit, out=bristle)
        friction = grip * bristle / give
        push = force + friction

        body_gain = push * dt_body
        if ridden:
            arms = arm_spring * (body - rider) + arm_damper * (body_speed - rider_speed)
            body_gain -= arms * dt_body
            rider_speed += arms * dt_rider
            rider_speed -= dt_load
            rider += rider_speed * dt
        body_gain -= dt_load
        axle_gain = tyre - push
        axle_gain *= dt_axle
        axle_gain -= dt_gravity
        free = axle_gain - body_gain
        free *= 0.5
        free += sliding
        damping = damper.force(free)
        body_gain += damping * dt_body
        axle_gain -= damping * dt_axle

        body_speed += body_gain
        axle_speed += axle_gain
        np.divide(body_gain, dt, out=accelerations[step])
        if traces is not None:
            traces.travel[step] = travel
            traces.axle[step] = axle
            traces.travel_speed[step] = free - half_step * damping
            traces.axle_speed[step] = axle_speed - 0.5 * axle_gain
            traces.damper_force[step] = damping
            traces.friction_force[step] = friction
            traces.tyre_force[step] = tyre
        body += body_speed * dt
        axle += axle_speed * dt

    return Motion(dt, accelerations, rest, most, most_squash, traces)
