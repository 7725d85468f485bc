"""Corrections asked about before they are done."""

from dataclasses import replace

import numpy as np
import pytest

from diagnose.physics.budget.what_if import WhatIfEffect, what_ifs
from diagnose.physics.errors import PhysicsError
from diagnose.physics.ride.axle import Axle, Setup
from diagnose.physics.ride.ground import Obstacle
from diagnose.physics.ride.harshness import harshness

PSI = 6_894.757
Ground = tuple[Obstacle, ...]


def effects(
    axle: Axle, before: Setup, after: Setup, ground: Ground, rng: np.random.Generator
) -> tuple[WhatIfEffect, ...]:
    """Of one change alone."""
    return what_ifs(axle, before, (after,), ground, rng, draws=8)[0]


def harder(setup: Setup, by: float) -> Setup:
    return replace(setup, tyre_pressure=setup.tyre_pressure + by)


def test_the_effect_is_harshness_before_and_after(
    axle: Axle, setup: Setup, obstacles: Ground, rng: np.random.Generator
) -> None:
    """Best guess without unknowns, and a band round it."""
    after = harder(setup, 15 * PSI)
    for obstacle, effect in zip(
        obstacles, effects(axle, setup, after, obstacles, rng), strict=True
    ):
        assert effect.obstacle == obstacle.name
        assert effect.before == pytest.approx(harshness(axle, setup, obstacle))
        assert effect.after == pytest.approx(harshness(axle, after, obstacle))
        assert effect.change.middle == pytest.approx(effect.after / effect.before - 1.0)
        assert effect.change.low <= effect.change.high
        assert effect.change.middle > 0.0


def test_two_psi_out_softens(
    axle: Axle, faulty: Setup, obstacles: Ground, rng: np.random.Generator
) -> None:
    """The cheapest correction helps on a tyre that is too hard, band and all."""
    for effect in effects(axle, faulty, harder(faulty, -2 * PSI), obstacles, rng):
        assert effect.change.middle < 0.0
        assert effect.change.high < 0.0


def test_no_change_is_no_effect(
    axle: Axle, setup: Setup, obstacles: Ground, rng: np.random.Generator
) -> None:
    """Nothing, without a band."""
    for effect in effects(axle, setup, setup, obstacles, rng):
        assert effect.change.middle == effect.change.low == effect.change.high == 0.0


def test_a_change_over_no_ground_is_refused(
    axle: Axle, setup: Setup, rng: np.random.Generator
) -> None:
    with pytest.raises(PhysicsError, match="0 obstacles"):
        what_ifs(axle, setup, (setup,), (), rng)


def test_impossible_corrections_are_refused(setup: Setup) -> None:
    """Past closed, below nothing."""
    with pytest.raises(PhysicsError, match="low-speed compression"):
        replace(setup, low_speed_compression=-1.0)
    with pytest.raises(PhysicsError, match="tyre pressure"):
        harder(setup, -20 * PSI)
