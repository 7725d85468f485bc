"""What one correction would do, before it is done.

Each correction is a function from a setup to a setup, so that any of them can be asked about
alone or after another. :func:`what_ifs` then compares them over the obstacles.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from diagnose.physics.budget.unknowns import Unknowns, draw
from diagnose.physics.errors import PhysicsError
from diagnose.physics.ride.axle import Axle, Setup
from diagnose.physics.ride.ground import Obstacle
from diagnose.physics.ride.harshness import harshness_of_lanes
from diagnose.physics.ride.lanes import SetupLanes, UnknownScales, build_lanes

__all__ = [
    "Effect",
    "bleed",
    "change_high_speed_compression",
    "change_low_speed_compression",
    "change_rebound",
    "change_spring",
    "change_tyre_pressure",
    "friction_to",
    "what_if",
    "what_ifs",
]


def change_tyre_pressure(setup: Setup, by: float) -> Setup:
    """Return ``setup`` with the tyre pressure changed ``by`` (Pa), negative to let air out.

    Raises:
        PhysicsError: the pressure would fall below zero gauge.

    Source: definition.
    """
    return replace(setup, tyre_pressure=setup.tyre_pressure + by)


def change_low_speed_compression(setup: Setup, clicks_out: float) -> Setup:
    """Return ``setup`` with low-speed compression ``clicks_out`` further out (softer).

    Raises:
        PhysicsError: the adjuster would be wound in past closed.

    Source: definition.
    """
    return replace(setup, low_speed_compression=setup.low_speed_compression + clicks_out)


def change_high_speed_compression(setup: Setup, turns_out: float) -> Setup:
    """Return ``setup`` with high-speed compression ``turns_out`` further out (softer).

    Raises:
        PhysicsError: the adjuster would be wound in past closed.

    Source: definition.
    """
    return replace(setup, high_speed_compression=setup.high_speed_compression + turns_out)


def change_rebound(setup: Setup, clicks_out: float) -> Setup:
    """Return ``setup`` with rebound ``clicks_out`` further out (faster).

    Raises:
        PhysicsError: the adjuster would be wound in past closed.

    Source: definition.
    """
    return replace(setup, rebound=setup.rebound + clicks_out)


def friction_to(setup: Setup, friction: float) -> Setup:
    """Return ``setup`` with ``friction`` (N at the wheel), as after clamps are set to spec.

    Raises:
        PhysicsError: negative friction.

    Source: definition.
    """
    return replace(setup, friction=friction)


def bleed(setup: Setup) -> Setup:
    """Return ``setup`` with the trapped air let out here and now (0 Pa gauge).

    Source: definition.
    """
    return replace(setup, trapped_pressure=0.0)


def change_spring(setup: Setup, rate: float, preload: float) -> Setup:
    """Return ``setup`` with another spring: ``rate`` (N/m) and ``preload`` (N) at the wheel.

    Raises:
        PhysicsError: the rate is not above zero or the preload is negative.

    Source: definition.
    """
    return replace(setup, spring_rate=rate, spring_preload=preload)


@dataclass(frozen=True, slots=True)
class Effect:
    """What a change does over one obstacle.

    Attributes:
        obstacle: its name.
        before: harshness (m/s²) as it is.
        after: harshness (m/s²) after the change.
        ratio_low: lower end of the band of after over before (one in ten lies below).
        ratio_high: upper end of it.
    """

    obstacle: str
    before: float
    after: float
    ratio_low: float
    ratio_high: float

    @property
    def ratio(self) -> float:
        """Harshness after over before; below 1 is softer."""
        return self.after / self.before


def what_if(
    axle: Axle,
    before: Setup,
    after: Setup,
    obstacles: Sequence[Obstacle],
    rng: np.random.Generator,
    *,
    unknowns: Unknowns | None = None,
    draws: int = 32,
) -> tuple[Effect, ...]:
    """Return what going from ``before`` to ``after`` does over each obstacle.

    Raises:
        PhysicsError: as :func:`what_ifs`.

    Source: :func:`what_ifs`.
    """
    return what_ifs(axle, before, (after,), obstacles, rng, unknowns=unknowns, draws=draws)[0]


def what_ifs(
    axle: Axle,
    before: Setup,
    afters: Sequence[Setup],
    obstacles: Sequence[Obstacle],
    rng: np.random.Generator,
    *,
    unknowns: Unknowns | None = None,
    draws: int = 32,
) -> tuple[tuple[Effect, ...], ...]:
    """Return, for each of ``afters``, what going there from ``before`` does over each obstacle.

    Raises:
        PhysicsError: no obstacle, fewer than one draw, or a setup that stands beyond the
            travel.

    Source: :func:`diagnose.physics.ride.harshness.harshness_of_lanes` with and without, the same
    draws of the unknowns for all.
    """
    if not obstacles:
        raise PhysicsError("0 obstacles given; one or more are needed")
    scales = draw(unknowns or Unknowns(), draws, rng)
    setups = [before, *afters]
    lanes = build_lanes(
        axle,
        SetupLanes.of([setup for setup in setups for _ in range(draws)]),
        UnknownScales(
            **{
                name: np.tile(getattr(scales, name), len(setups))
                for name in UnknownScales.__slots__
            }
        ),
    )
    effects: list[list[Effect]] = [[] for _ in afters]
    for obstacle in obstacles:
        felt = harshness_of_lanes(lanes, axle.contact, obstacle).reshape(len(setups), draws)
        for row, values in zip(effects, felt[1:], strict=True):
            low, high = np.percentile(values / felt[0], (10.0, 90.0))
            row.append(
                Effect(obstacle.name, float(felt[0, 0]), float(values[0]), float(low), float(high))
            )
    return tuple(tuple(row) for row in effects)
