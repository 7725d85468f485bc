"""Tyre stiffness against printed and remembered ranges, and hot against cold."""

import pytest

from diagnose.physics.springs.tyre_pressure import gauge_after_change, radial_stiffness
from tests.reference_setup import reference_bike

PSI = 6_894.757


@pytest.mark.parametrize(
    ("end", "kilopascal", "newton_per_millimetre"),
    [
        ("front", 80, 61),
        ("front", 100, 76),
        ("front", 120, 91),
        ("rear", 80, 71),
        ("rear", 100, 88),
        ("rear", 120, 106),
    ],
)
def test_air_part_for_two_common_sizes(
    end: str, kilopascal: float, newton_per_millimetre: float
) -> None:
    """Source: computed by hand, 2π p √(R r), for 80/100-21 and 110/90-19."""
    axle = getattr(reference_bike(), end)
    found = radial_stiffness(kilopascal * 1e3, axle.wheel_radius, axle.crown_radius, carcass=0.0)
    assert found / 1e3 == pytest.approx(newton_per_millimetre, abs=0.8)


def test_a_soft_off_road_tyre_lies_below_the_road_range() -> None:
    """Common road models measure 115 to 180 N/mm; an off-road tyre at 12.5 psi is softer.

    Source: Cossalter, "Motorcycle Dynamics", 2006, and Sharp et al., "Advances in the
    modelling of motorcycle dynamics", 2004 (from memory).
    """
    front = reference_bike().front
    assert radial_stiffness(12.5 * PSI, front.wheel_radius, front.crown_radius) < 115e3
    road = radial_stiffness(33.0 * PSI, front.wheel_radius, front.crown_radius)
    assert 115e3 < road < 350e3


def test_ten_kelvin_is_some_half_a_psi() -> None:
    """A cold 14 psi (98 kPa, a printed competition setting) gains 1 psi over 20 K.

    Source: ideal gas law by hand; "measure cold": Yamaha YZ250F 2014 owner's manual p. 3-37
    (seen).
    """
    hot = gauge_after_change(98e3, 293.15, 313.15)
    assert (hot - 98e3) / PSI == pytest.approx((98e3 + 101_325.0) * 20.0 / 293.15 / PSI)
    assert (hot - 98e3) / PSI == pytest.approx(1.97, abs=0.02)
