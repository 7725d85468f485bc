"""Ground as a wheel meets it: a profile, rolled over by a round tyre at a speed.

A tyre is round: it climbs a square edge along an arc and never reaches the bottom of a narrow
hole. A hard wheel is therefore rolled over the profile first, and the model is driven with the
path of its axle; the deflection of the tyre comes on top.
"""

import math
from dataclasses import dataclass, field

import numpy as np

from diagnose.physics.arrays import FloatArray
from diagnose.physics.errors import PhysicsError, positive

__all__ = ["TIME_STEP", "Obstacle", "WheelRun", "rolled"]

TIME_STEP = 0.002
"""s between road values. Our own choice: half of it changes harshness by under 0.5 % over the
standard obstacles (computed)."""

_GRID = 0.005
"""m between points of a profile before it is rolled over. Our own choice."""


@dataclass(frozen=True, slots=True)
class Obstacle:
    """Ground to drive over.

    `name`: for the screen, in rider's words.
    `road`: height (m) under the axle, a value a step, starting flat at zero.
    `time_step`: s between values.

    Raises `PhysicsError` for fewer than two values, a value that is not a number, a start off zero,
    or a step not above zero.
    """

    name: str
    road: FloatArray = field(repr=False, compare=False)
    time_step: float = TIME_STEP

    def __post_init__(self) -> None:
        """Raises `PhysicsError` for impossible values."""
        positive("time step", self.time_step, "s")
        if self.road.ndim != 1 or self.road.size < 2 or not np.all(np.isfinite(self.road)):
            raise PhysicsError(
                f"road of {self.name} has shape {self.road.shape}; "
                "a row of two or more ordinary numbers is needed"
            )
        if abs(float(self.road[0])) > 1e-9:
            raise PhysicsError(
                f"road of {self.name} starts at {float(self.road[0]):g} m; it must start at 0 m"
            )

    @property
    def duration(self) -> float:
        """Length of the run (s)."""
        return float(self.road.size * self.time_step)


def rolled(profile: FloatArray, spacing: float, wheel_radius: float) -> FloatArray:
    """Return the axle height (m) of a hard wheel rolling over `profile` (m).

    `profile`: ground heights (m), evenly spaced.
    `spacing`: m between them.
    `wheel_radius`: m.

    Raises `PhysicsError` for spacing or radius not above zero.

    Source: upper envelope of circles on the profile (computed).
    """
    positive("profile spacing", spacing, "m")
    positive("wheel radius", wheel_radius, "m")
    reach = min(int(wheel_radius / spacing), profile.size - 1)
    axle: FloatArray = profile.copy()
    for ahead in range(1, reach + 1):
        drop = wheel_radius - math.sqrt(max(wheel_radius**2 - (ahead * spacing) ** 2, 0.0))
        np.maximum(axle[:-ahead], profile[ahead:] - drop, out=axle[:-ahead])
        np.maximum(axle[ahead:], profile[:-ahead] - drop, out=axle[ahead:])
    return axle


@dataclass(frozen=True, slots=True)
class WheelRun:
    """A wheel at a speed for a while.

    `wheel_radius`: m.
    `speed`: m/s.
    `duration`: s.
    `time_step`: s between road values.

    Raises `PhysicsError` for a value not above zero, or a run shorter than two steps.
    """

    wheel_radius: float
    speed: float
    duration: float
    time_step: float = TIME_STEP

    def __post_init__(self) -> None:
        """Raises `PhysicsError` for impossible values."""
        positive("wheel radius", self.wheel_radius, "m")
        positive("speed", self.speed, "m/s")
        positive("duration", self.duration, "s")
        positive("time step", self.time_step, "s")
        if round(self.duration / self.time_step) < 2:
            raise PhysicsError(
                f"duration is {self.duration:g} s, less than two steps of {self.time_step:g} s"
            )

    def places(self) -> FloatArray:
        """Return the places (m from the start) at which a profile is to be given."""
        count = int(self.speed * self.duration / _GRID) + 2
        places: FloatArray = np.linspace(0.0, (count - 1) * _GRID, count)
        return places

    def over(self, name: str, profile: FloatArray) -> Obstacle:
        """Return the obstacle met on a `profile` (m) given at :meth:`places`.

        Raises `PhysicsError` if the profile does not begin flat at zero for a wheel's radius, so
        the wheel would stand on the obstacle at the start.

        Source: :func:`rolled`, read off at the speed (computed).
        """
        lead = int(self.wheel_radius / _GRID)
        if np.any(np.abs(profile[:lead]) > 1e-9):
            raise PhysicsError(
                f"profile of {name} is not flat at 0 m for the first {self.wheel_radius:g} m; "
                "the wheel must not touch the obstacle at the start"
            )
        axle = rolled(profile, _GRID, self.wheel_radius)
        steps = np.arange(round(self.duration / self.time_step)) * self.time_step * self.speed
        road = np.interp(steps, np.arange(profile.size) * _GRID, axle)
        return Obstacle(name, road.astype(np.float64), self.time_step)
