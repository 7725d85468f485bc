"""Shared end, setup and obstacles for the physics tests."""

from dataclasses import replace

import numpy as np
import pytest

from diagnose.physics.damping.damping_curve import Adjusters, DampingCurve
from diagnose.physics.ride.axle import AirColumn, Axle, Contact, Setup
from diagnose.physics.ride.ground import Obstacle
from diagnose.physics.ride.obstacles import bumps, square_edge


def small_chop(wheel_radius: float, **given: float) -> Obstacle:
    """Closely spaced bumps of a centimetre."""
    chop = {"height": 0.010, "speed": 7.0, "duration": 1.4, **given}
    return bumps("small chop", wheel_radius, spacings=(0.34, 0.45, 0.60), **chop)


@pytest.fixture
def axle() -> Axle:
    """A front end with round numbers and some trapped air."""
    return Axle(
        contact=Contact.HANDS,
        sprung_mass=80.0,
        unsprung_mass=15.0,
        wheel_radius=0.35,
        crown_radius=0.045,
        carcass_stiffness=20_000.0,
        tyre_damping=100.0,
        travel=0.27,
        damping=DampingCurve(0.0115, 280.0, 330.0, 0.011, 220.0, 600.0),
        adjusters=Adjusters(),
        air=AirColumn(area=0.004, length=0.36),
        bump_start=0.235,
        bump_stiffness=1.0e6,
    )


@pytest.fixture
def setup() -> Setup:
    """The end above, set as it should be."""
    return Setup(
        tyre_pressure=86_000.0,
        low_speed_compression=10.0,
        high_speed_compression=1.75,
        rebound=12.0,
        friction=60.0,
        trapped_pressure=0.0,
        spring_rate=12_000.0,
        spring_preload=50.0,
    )


@pytest.fixture
def faulty(setup: Setup) -> Setup:
    """The same end with every factor wrong."""
    return replace(
        setup,
        tyre_pressure=190_000.0,
        low_speed_compression=4.0,
        high_speed_compression=0.75,
        rebound=6.0,
        friction=150.0,
        trapped_pressure=20_000.0,
        spring_rate=12_600.0,
    )


@pytest.fixture
def obstacles() -> tuple[Obstacle, ...]:
    """Two short obstacles, enough to tell small from big."""
    return small_chop(0.35, duration=0.7), square_edge(0.35, duration=0.6)


@pytest.fixture
def rng() -> np.random.Generator:
    """Random numbers that are the same in every run."""
    return np.random.default_rng(20)
