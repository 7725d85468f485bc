"""Rake, trail and wheelbase."""

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from diagnose.physics.chassis.geometry import (
    Adjustment,
    Geometry,
    adjusted,
    offset_from_trail,
    per_millimetre,
)
from diagnose.physics.errors import PhysicsError

BIKE = Geometry(
    rake=math.radians(27.1),
    offset=0.0542,
    front_radius=0.3467,
    rear_radius=0.3403,
    wheelbase=1.485,
)
small = st.floats(-0.02, 0.02)


@given(st.floats(0.3, 0.6), st.floats(0.08, 0.13), st.floats(0.30, 0.36))
def test_offset_and_trail_undo_each_other(rake: float, trail: float, radius: float) -> None:
    """A published trail gives an offset that gives the trail back."""
    offset = offset_from_trail(rake, trail, radius)
    assume(offset > 0.001)
    assert Geometry(rake, offset, radius, 0.34, 1.485).trail == pytest.approx(trail)


def test_normal_trail_is_shorter() -> None:
    """Square to the axis the lever is shorter."""
    assert BIKE.normal_trail == pytest.approx(BIKE.trail * math.cos(BIKE.rake))
    assert BIKE.normal_trail < BIKE.trail


def test_no_change_changes_nothing() -> None:
    """The same bike comes back."""
    same = adjusted(BIKE, Adjustment())
    assert same.rake == pytest.approx(BIKE.rake, abs=1e-12)
    assert same.wheelbase == pytest.approx(BIKE.wheelbase, abs=1e-12)


@given(small, small)
def test_raising_and_lowering_the_tubes_undo_each_other(up: float, sag: float) -> None:
    """There and back is nowhere, to a tenth of a millimetre."""
    there = adjusted(BIKE, Adjustment(tubes_raised=up, rear_sag=sag))
    back = adjusted(there, Adjustment(tubes_raised=-up, rear_sag=-sag))
    assert back.rake == pytest.approx(BIKE.rake, abs=2e-4)
    assert back.trail == pytest.approx(BIKE.trail, abs=2e-4)


def test_directions_the_trade_knows() -> None:
    """Front down or rear up steepens; rear down slackens; clamps change trail alone."""
    base = BIKE.trail
    assert adjusted(BIKE, Adjustment(tubes_raised=0.005)).trail < base
    assert adjusted(BIKE, Adjustment(front_sag=0.010)).trail < base
    assert adjusted(BIKE, Adjustment(rear_sag=0.010)).trail > base
    assert adjusted(BIKE, Adjustment(rear_radius=0.005)).rake < BIKE.rake
    assert adjusted(BIKE, Adjustment(front_radius=0.005)).rake > BIKE.rake
    assert adjusted(BIKE, Adjustment(offset=0.002)).trail < base


def test_longer_clamps_push_the_axle_square_to_the_steering_axis() -> None:
    """Before the frame settles the axle is cos(rake) further forward and sin(rake) up.

    With the settling turned back (the front lowered by as much), what is left is forward.
    """
    up = 0.002 * math.sin(BIKE.rake)
    after = adjusted(BIKE, Adjustment(offset=0.002, rear_sag=up))
    assert after.rake == pytest.approx(BIKE.rake, abs=1e-5)
    assert after.wheelbase - BIKE.wheelbase == pytest.approx(0.002 * math.cos(BIKE.rake), abs=1e-5)


@given(st.floats(0.001, 0.02))
def test_equal_lift_of_both_ends_keeps_rake(lift: float) -> None:
    """Tyres grown alike leave rake alone and add trail."""
    up = adjusted(BIKE, Adjustment(front_radius=lift, rear_radius=lift))
    assert up.rake == pytest.approx(BIKE.rake, abs=1e-12)
    assert up.trail > BIKE.trail


def test_per_millimetre_matches_a_real_millimetre() -> None:
    """The sensitivity is what one millimetre does."""
    slope = per_millimetre(BIKE, Adjustment(tubes_raised=1.0))
    moved = adjusted(BIKE, Adjustment(tubes_raised=0.001))
    assert slope.rake == pytest.approx(moved.rake - BIKE.rake, rel=0.01)
    assert slope.trail == pytest.approx(moved.trail - BIKE.trail, rel=0.01)
    assert slope.wheelbase == pytest.approx(moved.wheelbase - BIKE.wheelbase, rel=0.01)


def test_impossible_bikes_are_refused() -> None:
    """No radius, no rake, no wheelbase left."""
    with pytest.raises(PhysicsError, match="front tyre radius"):
        Geometry(0.47, 0.054, -0.35, 0.34, 1.485)
    with pytest.raises(PhysicsError, match="rake"):
        Geometry(1.0, 0.054, 0.35, 0.34, 1.485)
    with pytest.raises(PhysicsError, match="tubes raised"):
        Adjustment(tubes_raised=float("nan"))
    with pytest.raises(PhysicsError, match="further apart"):
        adjusted(Geometry(0.47, 0.054, 0.35, 0.34, 0.01), Adjustment(front_radius=0.5))


@pytest.mark.parametrize(
    ("raised", "rake", "trail", "wheelbase"),
    [(5.0, -0.172, -1.22, -2.3), (10.0, -0.345, -2.44, -4.5)],
)
def test_worked_example_of_raised_tubes(
    raised: float, rake: float, trail: float, wheelbase: float
) -> None:
    """Source: computed by hand, apart from the code."""
    after = adjusted(BIKE, Adjustment(tubes_raised=raised / 1e3))
    assert BIKE.trail == pytest.approx(0.1165, abs=0.0001)
    assert math.degrees(after.rake - BIKE.rake) == pytest.approx(rake, abs=0.001)
    assert (after.trail - BIKE.trail) * 1e3 == pytest.approx(trail, abs=0.01)
    assert (after.wheelbase - BIKE.wheelbase) * 1e3 == pytest.approx(wheelbase, abs=0.06)


def test_worked_example_of_rear_sag_and_other_clamps() -> None:
    """10 mm of rear sag: +0.386°, +2.74 mm. Clamps 2 mm longer, rake kept: -2.25 mm.

    Source: computed by hand.
    """
    lower = adjusted(BIKE, Adjustment(rear_sag=0.010))
    assert math.degrees(lower.rake - BIKE.rake) == pytest.approx(0.386, abs=0.001)
    assert (lower.trail - BIKE.trail) * 1e3 == pytest.approx(2.74, abs=0.01)
    clamps = Geometry(BIKE.rake, BIKE.offset + 0.002, 0.3467, 0.3403, 1.485)
    assert (clamps.trail - BIKE.trail) * 1e3 == pytest.approx(-2.25, abs=0.01)


def test_five_millimetres_of_tube_are_some_four_and_a_half_of_ride_height() -> None:
    """Source: computed by hand."""
    tubes = adjusted(BIKE, Adjustment(tubes_raised=0.005)).rake
    ride = adjusted(BIKE, Adjustment(rear_sag=-0.00446)).rake
    assert tubes == pytest.approx(ride, abs=math.radians(0.001))
