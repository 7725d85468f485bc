"""Profiles rolled over by a round wheel."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.physics.errors import PhysicsError
from diagnose.physics.ride.ground import Ground, Obstacle, WheelRun, rolled
from diagnose.physics.ride.obstacles import square_edge


def test_a_square_edge_is_climbed_along_an_arc() -> None:
    """The axle of a hard wheel turns about the corner: exact circle, exact reach."""
    radius, height, spacing = 0.35, 0.05, 0.005
    profile = np.where(np.arange(400) >= 200, height, 0.0)
    axle = rolled(profile, spacing, radius)
    reach = math.sqrt(2.0 * radius * height - height**2)
    for before in range(1, 60):
        distance = before * spacing
        arc = height + math.sqrt(radius**2 - distance**2) - radius
        expected = max(arc, 0.0)
        assert axle[200 - before] == pytest.approx(expected, abs=1e-12)
    first = int(np.argmax(axle > 0.0))
    assert (200 - first) * spacing == pytest.approx(reach, abs=spacing)
    assert np.all(axle[200:] == height)


def test_a_narrow_hole_is_bridged() -> None:
    """A gap of 4 cm lets the wheel in by half a millimetre only."""
    profile = np.zeros(400)
    profile[196:204] = -0.05
    axle = rolled(profile, 0.005, 0.35)
    assert axle.min() > -0.001


@given(st.lists(st.floats(-0.1, 0.1), min_size=5, max_size=80))
def test_the_wheel_is_never_in_the_ground(heights: list[float]) -> None:
    """The axle path lies on or above the profile, and not above its highest point."""
    profile = np.array(heights)
    axle = rolled(profile, 0.01, 0.35)
    assert np.all(axle >= profile)
    assert axle.max() == profile.max()


def test_flat_stays_flat() -> None:
    """Nothing to climb."""
    assert np.all(rolled(np.zeros(50), 0.005, 0.35) == 0.0)


def test_a_ride_reads_the_profile_off_at_its_speed() -> None:
    """A long ramp of 1 in 10 at 5 m/s rises 0.5 m/s."""
    ride = WheelRun(0.35, 5.0, 2.0)
    place = ride.places()
    obstacle = ride.over("ramp", 0.1 * np.maximum(place - 0.5, 0.0))
    assert obstacle.duration == pytest.approx(2.0)
    rise = np.diff(obstacle.road[500:900]) / obstacle.time_step
    assert rise == pytest.approx(0.5, rel=1e-6)


def test_impossible_rides_are_refused() -> None:
    """Each message names its value."""
    with pytest.raises(PhysicsError, match="speed"):
        WheelRun(0.35, 0.0, 1.0)
    with pytest.raises(PhysicsError, match="less than two steps"):
        WheelRun(0.35, 5.0, 0.002)
    ride = WheelRun(0.35, 5.0, 1.0)
    with pytest.raises(PhysicsError, match="must not touch"):
        ride.over("edge", np.full(ride.places().size, 0.05))
    with pytest.raises(PhysicsError, match="starts at"):
        Obstacle("edge", np.array([0.1, 0.1]))
    with pytest.raises(PhysicsError, match="two or more"):
        Obstacle("edge", np.array([0.0]))
    with pytest.raises(PhysicsError, match="wheel radius"):
        rolled(np.zeros(5), 0.01, 0.0)


def test_a_longer_patch_evens_a_road_out() -> None:
    """A wave as long as the patch is evened out whole; a level road stays; a moving one too."""
    place = np.arange(1_000) * 0.002 * 8.0
    wave = Obstacle("wave", 0.01 * np.sin(2.0 * np.pi * place / 0.64), speed=8.0)
    middle = slice(50, 950)
    assert np.abs(wave.evened(0.64)[middle]).max() < 1e-4
    assert 0.0062 < np.abs(wave.evened(0.32)[middle]).max() < 0.0066
    level = Obstacle("step", np.where(place > 4.0, 0.05, 0.0), speed=8.0)
    assert level.evened(0.2)[-1] == pytest.approx(0.05)
    assert level.evened(0.2)[0] == pytest.approx(0.0)
    moved = Obstacle("drop", np.where(place > 4.0, -0.05, 0.0))
    assert np.array_equal(moved.evened(0.2), moved.road)


def test_a_tyre_stands_on_an_edge_where_the_wheel_is_carried_over_the_ground() -> None:
    edge = square_edge(0.35, height=0.05)
    assert edge.edges is not None
    assert edge.edges[0] == edge.edges[-1] == 0.0
    assert edge.edges.max() == 1.0


def test_rides_of_other_steps_do_not_go_together() -> None:
    with pytest.raises(PhysicsError, match="the same for all"):
        Ground.of([Obstacle("a", np.zeros(9)), Obstacle("b", np.zeros(9), 0.001)])
    with pytest.raises(PhysicsError, match="0 obstacles"):
        Ground.of([])
