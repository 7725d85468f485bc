"""What one correction would do, before it is done: harshness with it against harshness without."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from diagnose.physics.budget.axle_budget import Estimate
from diagnose.physics.budget.unknowns import Unknowns, draw
from diagnose.physics.errors import PhysicsError
from diagnose.physics.ride.axle import Axle, Setup
from diagnose.physics.ride.ground import Obstacle
from diagnose.physics.ride.harshness import harshness_of_lanes
from diagnose.physics.ride.lanes import SetupLanes, build_lanes

__all__ = ["WhatIfEffect", "what_ifs"]


@dataclass(frozen=True, slots=True)
class WhatIfEffect:
    """What a change does over one obstacle.

    `obstacle`: its name.
    `before`: harshness (m/s²) as it is.
    `after`: harshness (m/s²) after the change.
    `change`: harshness after over harshness before, less one: -0.06 is 6 % softer.
    """

    obstacle: str
    before: float
    after: float
    change: Estimate


def what_ifs(
    axle: Axle,
    before: Setup,
    afters: Sequence[Setup],
    obstacles: Sequence[Obstacle],
    rng: np.random.Generator,
    *,
    unknowns: Unknowns | None = None,
    draws: int = 12,
) -> tuple[tuple[WhatIfEffect, ...], ...]:
    """Return, for each of `afters`, what going there from `before` does over each obstacle.

    Raises `PhysicsError` for no obstacle, fewer than one draw, or a setup that stands beyond the
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
        scales.tiled(len(setups)),
    )
    effects: list[list[WhatIfEffect]] = [[] for _ in afters]
    every = harshness_of_lanes(lanes, axle.contact, obstacles)
    for obstacle, line in zip(obstacles, every, strict=True):
        felt = line.reshape(len(setups), draws)
        for row, values in zip(effects, felt[1:], strict=True):
            change = Estimate.of(values / felt[0] - 1.0)
            row.append(WhatIfEffect(obstacle.name, float(felt[0, 0]), float(values[0]), change))
    return tuple(tuple(row) for row in effects)
