"""Ground as a wheel meets it: a profile, rolled over by a round tyre at a speed.

A tyre is round: it climbs a square edge along an arc and never reaches the bottom of a narrow
hole. A hard wheel is therefore rolled over the profile first, and the model is driven with the
path of its axle; the deflection of the tyre comes on top. A soft tyre stands on a longer patch,
which evens the path out further.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from diagnose.physics.arrays import FloatArray, IntArray
from diagnose.physics.errors import PhysicsError, positive

__all__ = ["PATCH_STEP", "TIME_STEP", "Ground", "Obstacle", "WheelRun", "rolled"]

TIME_STEP = 0.002
"""s between road values. Our own choice: an eighth of it moves what a fault adds by half a point of
a hundred at most (computed)."""

_GRID = 0.005
"""m between points of a profile before it is rolled over. Our own choice."""

PATCH_STEP, _PATCHES = 0.04, 9
"""m between the lengths of tyre patch that a road is evened out for, and how many of them."""

_EDGE = 0.006
"""m that the axle of a hard wheel must be carried over the ground for the tyre to stand on an edge
rather than on its whole patch. Our own choice."""


@dataclass(frozen=True, slots=True)
class Obstacle:
    """Ground to drive over.

    `name`: for the screen, in rider's words.
    `road`: height (m) under the axle, a value a step, starting flat at zero.
    `time_step`: s between values.
    `speed`: of the bike (m/s); 0 where the ground itself moves, so that no patch evens it out.
    `load_shift`: share of the front's sprung weight that power (below 0) or brakes (above) move
        onto the front.
    `braking`: rearward force of the ground as a share of its upward force.
    `edges`: where the tyre stands on an edge, 0 to 1 a step; left out means nowhere.

    Raises `PhysicsError` for fewer than two values, a value that is not a number, a start off zero,
    or a step not above zero.
    """

    name: str
    road: FloatArray = field(repr=False, compare=False)
    time_step: float = TIME_STEP
    speed: float = 0.0
    load_shift: float = 0.0
    braking: float = 0.0
    edges: FloatArray | None = field(default=None, repr=False, compare=False)

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

    def evened(self, patch: float) -> FloatArray:
        """Return the road (m) as a tyre meets it that stands on a `patch` (m) long."""
        steps = patch / self.speed / self.time_step if self.speed > 0.0 else 0.0
        if steps < 1.0:
            return self.road
        at = np.arange(self.road.size, dtype=np.float64)
        ends = np.arange(-1.0, self.road.size) + 0.5
        heap = np.concatenate([[0.0], np.cumsum(self.road)])

        def gathered(place: FloatArray) -> FloatArray:
            # beyond its end the road goes on level
            beyond = np.maximum(place - ends[-1], 0.0) * self.road[-1]
            inside: FloatArray = np.interp(place, ends, heap) + beyond
            return inside

        mean: FloatArray = (gathered(at + 0.5 * steps) - gathered(at - 0.5 * steps)) / steps
        return mean


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
    `load_shift`, `braking`: as those of :class:`Obstacle`.

    Raises `PhysicsError` for a value not above zero, or a run shorter than two steps.
    """

    wheel_radius: float
    speed: float
    duration: float
    time_step: float = TIME_STEP
    load_shift: float = 0.0
    braking: float = 0.0

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
        at = np.arange(profile.size) * _GRID
        return Obstacle(
            name,
            np.interp(steps, at, axle).astype(np.float64),
            self.time_step,
            self.speed,
            self.load_shift,
            self.braking,
            np.interp(steps, at, (axle - profile) > _EDGE).astype(np.float64),
        )


@dataclass(frozen=True, slots=True)
class Ground:
    """Several obstacles side by side, evened out for every length of patch.

    A row is a step; the columns of an obstacle stand next to each other, one a length of patch.

    `time_step`: s between rows.
    `heights`: m under the axle.
    `rates`: its rate of change (m/s).
    `edges`: where the tyre stands on an edge, a column an obstacle.
    `speeds`, `load_shifts`, `brakings`: of each obstacle.
    `lengths`: steps of each obstacle; after them its last height goes on.
    """

    time_step: float
    heights: FloatArray
    rates: FloatArray
    edges: FloatArray
    speeds: FloatArray
    load_shifts: FloatArray
    brakings: FloatArray
    lengths: tuple[int, ...]

    @staticmethod
    def of(obstacles: Sequence[Obstacle]) -> "Ground":
        """Return the obstacles side by side.

        Raises `PhysicsError` without an obstacle, or for steps that differ.
        """
        if not obstacles:
            raise PhysicsError("0 obstacles given; one or more are needed")
        step = obstacles[0].time_step
        for obstacle in obstacles:
            if obstacle.time_step != step:
                raise PhysicsError(
                    f"time step of {obstacle.name} is {obstacle.time_step:g} s beside {step:g} s; "
                    "it must be the same for all"
                )
        most = max(obstacle.road.size for obstacle in obstacles)

        def column(values: FloatArray) -> FloatArray:
            padded: FloatArray = np.pad(values, (0, most - values.size), mode="edge")
            return padded

        heights = np.stack(
            [
                column(obstacle.evened(PATCH_STEP * (number + 1)))
                for obstacle in obstacles
                for number in range(_PATCHES)
            ],
            axis=1,
        )
        none = np.zeros(2)
        return Ground(
            step,
            heights,
            np.gradient(heights, step, axis=0),
            np.stack([column(none if o.edges is None else o.edges) for o in obstacles], axis=1),
            np.array([o.speed for o in obstacles]),
            np.array([o.load_shift for o in obstacles]),
            np.array([o.braking for o in obstacles]),
            tuple(o.road.size for o in obstacles),
        )

    def columns(self, over: IntArray, patch: FloatArray) -> tuple[IntArray, FloatArray]:
        """Return for each lane the column left of its patch, and its way (0 to 1) to the next.

        `over`: number of the obstacle of each lane.
        `patch`: length (m) of its patch.
        """
        place = np.clip(patch / PATCH_STEP - 1.0, 0.0, _PATCHES - 1.0 - 1e-9)
        left = place.astype(np.int64)
        return over * _PATCHES + left, place - left
