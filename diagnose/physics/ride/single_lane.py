"""The same step as :mod:`diagnose.physics.ride.quarter_car`, for one lane, in plain floats.

An array of one costs as much per step as an array of hundreds. One bike over one obstacle is
what the screen shows first, so it has this path of its own, about ten times as fast. A test
checks that the two agree.

Source: as :mod:`diagnose.physics.ride.quarter_car`.
"""

from collections.abc import Sequence

from diagnose.physics.atmosphere import STANDARD_GRAVITY
from diagnose.physics.ride.damper_step import HOLDING_SPEED
from diagnose.physics.ride.lanes import Lanes
from diagnose.physics.ride.suspension import LEAST_AIR

__all__ = ["run_single"]


def run_single(
    lanes: Lanes, rest: float, road: Sequence[float], road_speed: Sequence[float], dt: float
) -> tuple[list[float], float]:
    """Return the sprung mass's acceleration (m/s²) at each step, and the most travel (m) used.

    `lanes`: exactly one lane.
    `rest`: travel (m) it stands at.
    `road`: height (m) under the axle, a value a step.
    `road_speed`: its rate of change (m/s), a value a step.
    `dt`: s between values.
    """
    law = lanes.suspension
    sprung, unsprung, k_t, c_t, low_c, high_c, knee_c, low_r, high_r, knee_r, friction = (
        float(column[0])
        for column in (
            lanes.sprung_mass,
            lanes.unsprung_mass,
            lanes.tyre_stiffness,
            lanes.tyre_damping,
            lanes.low_compression,
            lanes.high_compression,
            lanes.compression_knee,
            lanes.low_rebound,
            lanes.high_rebound,
            lanes.rebound_knee,
            lanes.friction,
        )
    )
    spring, preload, air, air_outside, air_length = (
        float(column[0])
        for column in (
            law.spring_rate,
            law.spring_preload,
            law.air_absolute,
            law.air_outside,
            law.air_length,
        )
    )
    preload -= air_outside
    bump_start, bump, top_out = law.bump_start, law.bump_stiffness, law.top_out_stiffness
    exponent, hold = -law.air_exponent, friction / HOLDING_SPEED

    reduced = 1.0 / (1.0 / sprung + 1.0 / unsprung)
    lam, to_sprung, to_unsprung = (
        dt / (2.0 * reduced),
        2.0 * reduced / sprung,
        2.0 * reduced / unsprung,
    )
    dt_sprung, dt_unsprung, dt_gravity = dt / sprung, dt / unsprung, dt * STANDARD_GRAVITY
    stuck_c, slow_c, fast_c = (1.0 / (1.0 + lam * c) for c in (low_c + hold, low_c, high_c))
    stuck_r, slow_r, fast_r = (1.0 / (1.0 + lam * c) for c in (low_r + hold, low_r, high_r))
    break_c, break_r = HOLDING_SPEED / stuck_c, HOLDING_SPEED / stuck_r
    at_c, at_r = (
        b + (k - HOLDING_SPEED) / s
        for b, k, s in ((break_c, knee_c, slow_c), (break_r, knee_r, slow_r))
    )

    axle = road[0] - (sprung + unsprung) * STANDARD_GRAVITY / k_t
    body = axle - rest
    body_speed, axle_speed, most = 0.0, 0.0, rest
    accelerations: list[float] = []
    for ground, ground_speed in zip(road, road_speed, strict=True):
        travel = axle - body
        most = max(most, travel)
        force = spring * travel + preload
        if travel > bump_start:
            force += bump * (travel - bump_start) ** 2
        elif travel < 0.0:
            force += top_out * travel
        if air:
            force += air * max(1.0 - travel / air_length, LEAST_AIR) ** exponent
        tyre = max(k_t * (ground - axle) + c_t * (ground_speed - axle_speed), 0.0)

        dvs = force * dt_sprung - dt_gravity
        dvu = (tyre - force) * dt_unsprung - dt_gravity
        free = axle_speed - body_speed + 0.5 * (dvu - dvs)
        if free > at_c:
            mid = knee_c + (free - at_c) * fast_c
        elif free > break_c:
            mid = HOLDING_SPEED + (free - break_c) * slow_c
        elif free >= 0.0:
            mid = free * stuck_c
        elif free > -break_r:
            mid = free * stuck_r
        elif free > -at_r:
            mid = -HOLDING_SPEED + (free + break_r) * slow_r
        else:
            mid = -knee_r + (free + at_r) * fast_r
        push = free - mid
        dvs += to_sprung * push
        body_speed += dvs
        axle_speed += dvu - to_unsprung * push
        accelerations.append(dvs / dt)
        body += dt * body_speed
        axle += dt * axle_speed
    return accelerations, most
