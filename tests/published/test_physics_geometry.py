"""Geometry against published bikes and a worked example."""

import math

import pytest

from diagnose.physics.chassis.geometry import Adjustment, Geometry, adjusted, offset_from_trail

BIKE = Geometry(
    rake=math.radians(27.1),
    offset=0.0542,
    front_radius=0.3467,
    rear_radius=0.3403,
    wheelbase=1.485,
)


@pytest.mark.parametrize(
    ("rake", "trail"),
    [
        # Yamaha YZ250F 2007 owner's manual p. 2-3 (seen): by market and tyre
        (27.0, 115.6),
        (27.1, 116.5),
        # Yamaha YZ450F 2003 owner's manual p. 2-2 (seen)
        (27.2, 118.0),
    ],
)
def test_published_rake_and_trail_give_one_whole_offset(rake: float, trail: float) -> None:
    """All come to 53 to 55 mm with a 21-inch front tyre, well above the clamps' 22 mm."""
    offset = offset_from_trail(math.radians(rake), trail / 1e3, 0.3467)
    assert 0.053 < offset < 0.055


def test_the_clamp_offset_alone_gives_an_impossible_trail() -> None:
    """22 mm gives over 150 mm where 116 to 118 mm are published.

    Source: computed by hand; published trails as above.
    """
    stamped = Geometry(math.radians(27.1), 0.022, 0.3467, 0.3403, 1.485)
    assert 0.150 < stamped.trail < 0.154


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
