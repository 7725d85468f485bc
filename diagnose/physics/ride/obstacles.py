"""The rides that an end is judged over, from smooth ground to a landing.

Friction and a needle are felt on smooth ground and in small bumps, air shut in a fork where the
front is light, a hard tyre in small and sharp bumps: no one ride shows every fault.

Source of sizes, speeds and loads: our own choice from memory of off-road tracks, meant to be the
same for every bike rather than to match one place. That an off-road trail is of class C to E: from
memory.
"""

import math

import numpy as np

from diagnose.physics.arrays import FloatArray
from diagnose.physics.errors import PhysicsError, positive, within
from diagnose.physics.ride.ground import TIME_STEP, Obstacle, WheelRun
from diagnose.physics.ride.rough_ground import RoadClass, fade_in, rolling_ground

__all__ = ["bumps", "few_obstacles", "landing", "square_edge", "standard_obstacles", "stones"]

_LASTS = 1.8
"""s that each ride lasts. Our own choice, so that the whole is quick."""

_POWER, _LITTLE_POWER, _BRAKES = -0.85, -0.70, 0.45
"""Share of the front's weight that hard power, power in rollers and hard braking move onto it."""

_BRAKING = 0.4
"""Rearward force of the ground over its upward force in hard braking."""


def bumps(
    name: str,
    wheel_radius: float,
    *,
    height: float,
    spacings: tuple[float, ...],
    speed: float,
    load_shift: float = 0.0,
    braking: float = 0.0,
    duration: float = _LASTS,
    time_step: float = TIME_STEP,
) -> Obstacle:
    """Return a row of bumps: `height` (m) crest over hollow, one after another at `spacings` (m).

    Several spacings are mixed, so that no single frequency of wheel hop decides the result.

    Raises `PhysicsError` for a size not above zero.

    Source: a sum of cosines (computed).
    """
    positive("bump height", height, "m")
    for spacing in spacings:
        positive("bump spacing", spacing, "m")
    ride = WheelRun(wheel_radius, speed, duration, time_step, load_shift, braking)
    place = ride.places() - wheel_radius
    waves = [1.0 - np.cos(2.0 * np.pi * place / spacing) for spacing in spacings]
    wave: FloatArray = 0.5 * height * np.mean(waves, axis=0)
    return ride.over(name, wave * fade_in(place, 0.0, max(spacings)))


def stones(
    wheel_radius: float,
    rng: np.random.Generator,
    *,
    speed: float = 7.0,
    duration: float = _LASTS,
    time_step: float = TIME_STEP,
) -> Obstacle:
    """Return ground with single stones of 8 to 30 mm, some 45 cm apart.

    Raises `PhysicsError` for a size not above zero.

    Source: our own choice.
    """
    ride = WheelRun(wheel_radius, speed, duration, time_step)
    place = ride.places()
    profile = np.zeros_like(place)
    at = 3.0 * wheel_radius
    while at < place[-1]:
        width, height = rng.uniform(0.04, 0.12), rng.uniform(0.008, 0.03)
        shape = np.maximum(1.0 - ((place - at) / width) ** 2, 0.0)
        np.maximum(profile, height * shape, out=profile)
        at += rng.exponential(0.35) + 0.1
    return ride.over("stones", profile)


def square_edge(
    wheel_radius: float,
    *,
    name: str = "square edge",
    height: float = 0.050,
    speed: float = 8.0,
    duration: float = 0.8,
    time_step: float = TIME_STEP,
) -> Obstacle:
    """Return one square edge up, `height` (m), hit at `speed` (m/s).

    Raises `PhysicsError` for a size not above zero, or an edge nearly as high as the wheel's
    radius.

    Source: our own choice, from memory of ledges and roots.
    """
    ride = WheelRun(wheel_radius, speed, duration, time_step)
    within("edge height", height, 0.0, 0.9 * wheel_radius, "m")
    return ride.over(name, np.where(ride.places() >= 2.0 * wheel_radius, height, 0.0))


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


def _small_chop(wheel_radius: float) -> Obstacle:
    return bumps(
        "small chop", wheel_radius, height=0.010, spacings=(0.34, 0.45, 0.60), speed=7.0
    )  # fmt: skip


def _smooth(wheel_radius: float, rng: np.random.Generator) -> Obstacle:
    return rolling_ground(
        "smooth ground", wheel_radius, rng, road_class=RoadClass.C, speed=8.0, duration=_LASTS
    )


def few_obstacles(wheel_radius: float, rng: np.random.Generator) -> tuple[Obstacle, ...]:
    """Return smooth ground, small chop and a square edge: where tyre, damping and friction part.

    Raises `PhysicsError` if the radius is not above zero.

    Source: those of :func:`standard_obstacles`.
    """
    return _smooth(wheel_radius, rng), _small_chop(wheel_radius), square_edge(wheel_radius)


def standard_obstacles(wheel_radius: float, rng: np.random.Generator) -> tuple[Obstacle, ...]:
    """Return every ride, smoothest ground first.

    Raises `PhysicsError` if the radius is not above zero.

    Source: the obstacles of this module, and
    :func:`diagnose.physics.ride.rough_ground.rolling_ground`.
    """
    radius = wheel_radius
    return (
        _smooth(radius, rng),
        rolling_ground(
            "worn ground", radius, rng, road_class=RoadClass.D, speed=8.0, duration=_LASTS
        ),
        rolling_ground(
            "rough ground", radius, rng, road_class=RoadClass.E, speed=9.0, duration=_LASTS
        ),
        _small_chop(radius),
        bumps(
            "exit chop", radius, height=0.010, spacings=(0.45, 0.60, 0.80), speed=8.0,
            load_shift=_POWER,
        ),
        bumps(
            "exit rollers", radius, height=0.040, spacings=(1.4, 1.8), speed=8.0,
            load_shift=_LITTLE_POWER,
        ),
        bumps(
            "entry chop", radius, height=0.030, spacings=(1.0, 1.3), speed=7.0,
            load_shift=_BRAKES, braking=_BRAKING,
        ),
        bumps(
            "braking bumps", radius, height=0.090, spacings=(1.6,), speed=8.0,
            load_shift=_BRAKES, braking=_BRAKING,
        ),
        stones(radius, rng),
        square_edge(radius),
        square_edge(radius, name="high edge", height=0.080),
        landing(),
    )  # fmt: skip
