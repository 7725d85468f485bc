"""The five obstacles a harshness budget is computed over.

Source of sizes and speeds: our own choice from memory of off-road tracks, meant to be the same
for every bike rather than to match one place.
"""

import math

import numpy as np

from diagnose.physics.arrays import FloatArray
from diagnose.physics.errors import PhysicsError, positive, within
from diagnose.physics.ride.ground import TIME_STEP, Obstacle, WheelRun
from diagnose.physics.ride.rough_ground import fade_in, rolling_ground

__all__ = ["braking_bumps", "landing", "small_chop", "square_edge", "standard_obstacles"]


def _bumps(ride: WheelRun, height: float, spacings: tuple[float, ...]) -> FloatArray:
    positive("bump height", height, "m")
    for spacing in spacings:
        positive("bump spacing", spacing, "m")
    place = ride.places() - ride.wheel_radius
    waves = [1.0 - np.cos(2.0 * np.pi * place / spacing) for spacing in spacings]
    wave: FloatArray = 0.5 * height * np.mean(waves, axis=0)
    return wave * fade_in(place, 0.0, max(spacings))


def small_chop(
    wheel_radius: float,
    *,
    height: float = 0.010,
    spacing: float = 0.45,
    speed: float = 7.0,
    duration: float = 1.4,
    time_step: float = TIME_STEP,
) -> Obstacle:
    """Return closely spaced small bumps: height (m) crest over hollow, middle spacing (m).

    Three spacings (three quarters, one and four thirds of the middle one) are mixed, so that
    no single frequency of wheel hop decides the result.

    Raises `PhysicsError` for a size not above zero.

    Source: our own choice, from memory of dried-out trail.
    """
    ride = WheelRun(wheel_radius, speed, duration, time_step)
    spacings = (0.75 * spacing, spacing, spacing / 0.75)
    return ride.over("small chop", _bumps(ride, height, spacings))


def braking_bumps(
    wheel_radius: float,
    *,
    height: float = 0.090,
    spacing: float = 1.6,
    speed: float = 8.0,
    duration: float = 1.8,
    time_step: float = TIME_STEP,
) -> Obstacle:
    """Return the rollers dug by braking wheels: height and spacing in m.

    Raises `PhysicsError` for a size not above zero.

    Source: our own choice, from memory of motocross tracks.
    """
    ride = WheelRun(wheel_radius, speed, duration, time_step)
    return ride.over("braking bumps", _bumps(ride, height, (spacing,)))


def square_edge(
    wheel_radius: float,
    *,
    height: float = 0.050,
    speed: float = 8.0,
    duration: float = 1.0,
    time_step: float = TIME_STEP,
) -> Obstacle:
    """Return one square edge up, `height` (m), hit at `speed` (m/s).

    Raises `PhysicsError` for a size not above zero, or an edge nearly as high as the wheel's
    radius.

    Source: our own choice, from memory of ledges and roots.
    """
    ride = WheelRun(wheel_radius, speed, duration, time_step)
    within("edge height", height, 0.0, 0.9 * wheel_radius, "m")
    return ride.over("square edge", np.where(ride.places() >= 2.0 * wheel_radius, height, 0.0))


def landing(*, drop: float = 0.6, duration: float = 1.4, time_step: float = TIME_STEP) -> Obstacle:
    """Return a landing on flat ground from `drop` (m): the ground falls away at once.

    A landing ramp takes most of a real jump away; the drop is what is left, straight down.

    Raises `PhysicsError` for drop outside 0 to 3 m, or a run too short to come down in.

    Source: our own choice; free fall (computed).
    """
    within("drop", drop, 0.0, 3.0, "m")
    positive("time step", time_step, "s")
    if positive("duration", duration, "s") < 0.3 + math.sqrt(2.0 * drop / 9.8):
        raise PhysicsError(f"duration is {duration:g} s, too short for a drop of {drop:g} m")
    road = np.full(round(duration / time_step), -drop)
    road[: round(0.05 / time_step)] = 0.0
    return Obstacle("landing", road, time_step)


def standard_obstacles(
    wheel_radius: float, rng: np.random.Generator, time_step: float = TIME_STEP
) -> tuple[Obstacle, ...]:
    """Return small chop, square edge, braking bumps, landing and rolling ground.

    Raises `PhysicsError` if the radius is not above zero.

    Source: the obstacles of this module at their defaults, and
    :func:`diagnose.physics.ride.rough_ground.rolling_ground`.
    """
    return (
        small_chop(wheel_radius, time_step=time_step),
        square_edge(wheel_radius, time_step=time_step),
        braking_bumps(wheel_radius, time_step=time_step),
        landing(time_step=time_step),
        rolling_ground(wheel_radius, rng, time_step=time_step),
    )
