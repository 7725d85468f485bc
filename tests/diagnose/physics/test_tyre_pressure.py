"""Tyre pressure and stiffness."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.physics.errors import PhysicsError
from diagnose.physics.springs.tyre_pressure import (
    cold_equivalent,
    damping_against_pressure,
    gauge_after_change,
    radial_stiffness,
    stiffness_per_pascal,
)
from tests.reference_setup import reference_bike

gauges = st.floats(0.0, 250e3)
kelvins = st.floats(255.0, 360.0)


@given(gauges, kelvins, kelvins)
def test_heating_and_cooling_gives_the_pressure_back(gauge: float, one: float, two: float) -> None:
    """A tyre that comes back to its temperature comes back to its pressure."""
    there = gauge_after_change(gauge, one, two)
    assert gauge_after_change(there, two, one) == pytest.approx(gauge, abs=1e-6)


@given(gauges, kelvins)
def test_a_climb_adds_exactly_the_air_lost_outside(gauge: float, kelvin: float) -> None:
    """At one temperature a gauge gains what the open air lost."""
    after = gauge_after_change(gauge, kelvin, kelvin, 101e3, 85e3)
    assert after - gauge == pytest.approx(16e3)


def test_cold_equivalent_of_a_hot_reading_is_lower() -> None:
    """15 psi read at 50 °C is some 12 psi at 20 °C."""
    hot = 15 * 6_894.757
    assert cold_equivalent(hot, 323.15, 293.15) / 6_894.757 == pytest.approx(12.24, abs=0.02)


@given(st.floats(1e3, 250e3), st.floats(0.2, 0.5), st.floats(0.02, 0.1))
def test_patch_area_carries_the_load(gauge: float, wheel: float, crown: float) -> None:
    """Pressure times the ellipse two paraboloids leave at a small depth is the load."""
    depth = 1e-4
    area = math.pi * math.sqrt(2 * wheel * depth) * math.sqrt(2 * crown * depth)
    load = radial_stiffness(gauge, wheel, crown, carcass=0.0) * depth
    assert load == pytest.approx(gauge * area)


def test_carcass_adds_and_stays_without_air() -> None:
    """A flat tyre still has its carcass."""
    assert radial_stiffness(0.0, 0.35, 0.045, 12e3) == 12e3
    assert radial_stiffness(80e3, 0.35, 0.045, 12e3) == pytest.approx(
        12e3 + 80e3 * stiffness_per_pascal(0.35, 0.045)
    )


def test_impossible_tyres_are_refused() -> None:
    """Vacuum, negative gauge for a stiffness, negative carcass and no radius."""
    with pytest.raises(PhysicsError, match="vacuum"):
        gauge_after_change(-101_325.0, 290.0, 300.0)
    with pytest.raises(PhysicsError, match="gauge pressure"):
        radial_stiffness(-1.0, 0.35, 0.045)
    with pytest.raises(PhysicsError, match="carcass"):
        radial_stiffness(1.0, 0.35, 0.045, -1.0)
    with pytest.raises(PhysicsError, match="crown"):
        stiffness_per_pascal(0.35, 0.0)
    with pytest.raises(PhysicsError, match="temperature"):
        gauge_after_change(80e3, 290.0, -1.0)
    with pytest.raises(PhysicsError, match="air pressure"):
        gauge_after_change(80e3, 290.0, 300.0, 101e3, 0.0)


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


def test_ten_kelvin_is_some_half_a_psi() -> None:
    """A cold 14 psi (98 kPa, a printed competition setting) gains 1 psi over 20 K.

    Source: ideal gas law by hand; "measure cold": Yamaha YZ250F 2014 owner's manual p. 3-37
    (seen).
    """
    hot = gauge_after_change(98e3, 293.15, 313.15)
    assert (hot - 98e3) / PSI == pytest.approx((98e3 + 101_325.0) * 20.0 / 293.15 / PSI)
    assert (hot - 98e3) / PSI == pytest.approx(1.97, abs=0.02)


@pytest.mark.parametrize(("psi", "rate"), [(6.0, 51_600), (12.5, 85_700), (19.0, 119_900)])
def test_tyre_rate_against_pressure_by_hand(psi: float, rate: float) -> None:
    """2π · p · √(0.3467 · 0.0425) + 20 N/mm: a straight line, 5.26 N/mm a psi.

    That stiffness rises in line with pressure was found on tractor tyres (doi
    10.26459/jard.v83i5.3071, abstract seen); for an off-road motorcycle tyre nothing was found."""
    assert radial_stiffness(psi * 6_894.757, 0.3467, 0.0425) == pytest.approx(rate, rel=0.002)


def test_a_tyre_damps_more_the_harder_it_is_but_less_for_its_stiffness() -> None:
    """The loss factor is 0.08 at 86 kPa and 0.05 + 0.03 / 2 at twice that."""
    per_pascal = stiffness_per_pascal(0.3467, 0.0425)
    one, two = (
        float(damping_against_pressure(np.array(p), per_pascal)) for p in (86_000.0, 172_000.0)
    )
    stiffer = (172_000.0 * per_pascal + 20_000.0) / (86_000.0 * per_pascal + 20_000.0)
    assert one == pytest.approx(1.0)
    assert two == pytest.approx(stiffer * 0.065 / 0.08)
    assert 1.0 < two < stiffer
