"""Rake, trail and offset of bikes as their manuals print them."""

import math

import pytest

from diagnose.physics.chassis.geometry import Geometry, offset_from_trail


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
