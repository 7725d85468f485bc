"""Corrections asked about before they are done."""

from dataclasses import replace

import numpy as np
import pytest

from diagnose.physics import what_if as w
from diagnose.physics.errors import PhysicsError
from diagnose.physics.ride.axle import Axle, Setup
from diagnose.physics.ride.ground import Obstacle
from diagnose.physics.ride.harshness import harshness

PSI = 6_894.757
Ground = tuple[Obstacle, ...]


def test_each_correction_changes_its_own_setting(setup: Setup) -> None:
    """And nothing else."""
    assert w.change_tyre_pressure(setup, -2 * PSI) == replace(
        setup, tyre_pressure=setup.tyre_pressure - 2 * PSI
    )
    assert w.change_low_speed_compression(setup, 4.0) == replace(setup, low_speed_compression=14.0)
    assert w.change_high_speed_compression(setup, 0.5) == replace(
        setup, high_speed_compression=2.25
    )
    assert w.change_rebound(setup, -2.0) == replace(setup, rebound=10.0)
    assert w.friction_to(setup, 45.0) == replace(setup, friction=45.0)
    assert w.bleed(replace(setup, trapped_pressure=9e3)) == setup
    assert w.change_spring(setup, 11e3, 80.0) == replace(
        setup, spring_rate=11e3, spring_preload=80.0
    )


def test_the_effect_is_harshness_before_and_after(
    axle: Axle, setup: Setup, obstacles: Ground, rng: np.random.Generator
) -> None:
    """Best guess without unknowns, and a band round it."""
    after = w.change_tyre_pressure(setup, 15 * PSI)
    for obstacle, effect in zip(
        obstacles, w.what_if(axle, setup, after, obstacles, rng, draws=8), strict=True
    ):
        assert effect.obstacle == obstacle.name
        assert effect.before == pytest.approx(harshness(axle, setup, obstacle).value)
        assert effect.after == pytest.approx(harshness(axle, after, obstacle).value)
        assert effect.ratio_low <= effect.ratio_high
        assert effect.ratio > 1.0


def test_two_psi_out_softens(
    axle: Axle, faulty: Setup, obstacles: Ground, rng: np.random.Generator
) -> None:
    """The cheapest correction helps on a tyre that is too hard, band and all."""
    after = w.change_tyre_pressure(faulty, -2 * PSI)
    for effect in w.what_if(axle, faulty, after, obstacles, rng, draws=8):
        assert effect.ratio < 1.0
        assert effect.ratio_high < 1.0


def test_no_change_is_no_effect(
    axle: Axle, setup: Setup, obstacles: Ground, rng: np.random.Generator
) -> None:
    """Ratio one, without a band."""
    for effect in w.what_if(axle, setup, setup, obstacles, rng, draws=4):
        assert effect.ratio == effect.ratio_low == effect.ratio_high == 1.0


def test_impossible_corrections_are_refused(
    axle: Axle, setup: Setup, rng: np.random.Generator
) -> None:
    """Past closed, below nothing, over no ground."""
    with pytest.raises(PhysicsError, match="low-speed compression"):
        w.change_low_speed_compression(setup, -11.0)
    with pytest.raises(PhysicsError, match="tyre pressure"):
        w.change_tyre_pressure(setup, -20 * PSI)
    with pytest.raises(PhysicsError, match="0 obstacles"):
        w.what_if(axle, setup, setup, (), rng)
