"""Trapped air: signs, limits, the invariants of the gas law, and figures worked out by hand."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.harshness.stand_in import stand_in
from diagnose.physics.atmosphere import SEA_LEVEL_PRESSURE, standard_pressure
from diagnose.physics.errors import PhysicsError
from diagnose.physics.ride.harshness import harshness
from diagnose.physics.ride.obstacles import standard_obstacles
from diagnose.physics.springs.trapped_air import (
    SealedLeg,
    air_force,
    axle_air_force,
    gauge_pressure,
    gauge_pressure_after_climb,
    sag_lost,
)
from tests.reference_setup import reference_bike, reference_setup

LEG = SealedLeg(bore=0.048, air_volume=0.000724, stroke=0.300)


def test_bled_here_and_now_is_zero() -> None:
    """No gauge pressure straight after bleeding."""
    assert gauge_pressure_after_climb(800.0, 800.0) == pytest.approx(0.0, abs=1e-6)


def test_going_up_hardens_and_going_down_sucks() -> None:
    """The sign of the pressure follows the climb."""
    assert gauge_pressure_after_climb(0.0, 1_500.0) > 0.0
    assert gauge_pressure_after_climb(1_500.0, 0.0) < 0.0


def test_standard_cooling_takes_back_part_of_a_climb() -> None:
    """A leg that cools with the air gains less than one kept at its temperature."""
    kept = gauge_pressure_after_climb(0.0, 1_500.0, bled_temperature=288.15, leg_temperature=288.15)
    cooled = gauge_pressure_after_climb(0.0, 1_500.0)
    assert kept == pytest.approx(SEA_LEVEL_PRESSURE - standard_pressure(1_500.0))
    assert 0.0 < cooled < kept


@given(
    st.floats(60e3, 110e3), st.floats(250.0, 330.0), st.floats(60e3, 110e3), st.floats(250.0, 350.0)
)
def test_absolute_pressure_over_temperature_is_kept(
    bled: float, bled_t: float, air: float, now_t: float
) -> None:
    """The sealed gas keeps p / T whatever the air outside does."""
    absolute = gauge_pressure(bled, bled_t, air, now_t) + air
    assert absolute / now_t == pytest.approx(bled / bled_t)


@given(st.floats(-50e3, 50e3), st.floats(0.0, 0.29), st.floats(1.0, 1.4))
def test_force_grows_along_the_stroke(gauge: float, travel: float, exponent: float) -> None:
    """An air spring is progressive: never softer further in."""
    first = air_force(LEG, gauge, 100e3, travel, exponent)
    second = air_force(LEG, gauge, 100e3, travel + 0.01, exponent)
    assert second > first


def test_force_at_the_top_is_gauge_times_area() -> None:
    """Nothing is squeezed yet at full extension."""
    assert air_force(LEG, 10e3, 90e3, 0.0) == pytest.approx(10e3 * math.pi / 4 * 0.048**2)


def test_quick_strokes_are_stiffer_than_slow_ones() -> None:
    """Heat kept in adds force at full stroke."""
    slow, quick = (air_force(LEG, 0.0, 101e3, 0.3, n) for n in (1.0, 1.4))
    assert quick > slow > 0.0


def test_axle_force_counts_legs_and_rake() -> None:
    """Two legs, and more vertical force for a leg that leans."""
    one = air_force(LEG, 5e3, 95e3, 0.1)
    assert axle_air_force(LEG, 5e3, 95e3, 0.1, 0.0) == pytest.approx(2.0 * one)
    assert axle_air_force(LEG, 5e3, 95e3, 0.1, math.radians(60), legs=1) == pytest.approx(2.0 * one)


def test_compression_ratio_comes_from_the_oil_level() -> None:
    """A ratio of about 4 for the leg used here."""
    assert LEG.compression_ratio == pytest.approx(4.0, rel=0.01)


def test_sag_lost_is_force_over_rate() -> None:
    """Twice the rate, half the lift."""
    assert sag_lost(LEG, 10e3, 9_400.0) == pytest.approx(sag_lost(LEG, 10e3, 4_700.0) / 2.0)
    assert sag_lost(LEG, -10e3, 4_700.0) < 0.0


@pytest.mark.parametrize(
    ("gauge", "travel", "exponent", "said"),
    [
        (-100e3, 0.1, 1.3, "below a vacuum"),
        (0.0, -0.001, 1.3, "leg travel"),
        (0.0, 0.301, 1.3, "leg travel"),
        (0.0, 0.1, 0.9, "exponent"),
        (0.0, 0.1, 1.5, "exponent"),
    ],
)
def test_impossible_air_is_refused(gauge: float, travel: float, exponent: float, said: str) -> None:
    """The message says which value is wrong."""
    with pytest.raises(PhysicsError, match=said):
        air_force(LEG, gauge, 100e3, travel, exponent)


def test_impossible_legs_are_refused() -> None:
    """No leg without air left at full stroke, no bike on no legs, no flat fork."""
    with pytest.raises(PhysicsError, match="swept"):
        SealedLeg(bore=0.048, air_volume=0.0005, stroke=0.300)
    with pytest.raises(PhysicsError, match="bore"):
        SealedLeg(bore=-0.048, air_volume=0.0007, stroke=0.3)
    with pytest.raises(PhysicsError, match="legs"):
        axle_air_force(LEG, 0.0, 101e3, 0.1, 0.4, legs=0)
    with pytest.raises(PhysicsError, match="rake"):
        axle_air_force(LEG, 0.0, 101e3, 0.1, 1.5)


@pytest.mark.parametrize("position", range(4))
def test_no_pressure_or_temperature_of_zero(position: int) -> None:
    """Absolute values only."""
    values = [101e3, 288.0, 90e3, 280.0]
    values[position] = 0.0
    with pytest.raises(PhysicsError):
        gauge_pressure(*values)


AREA = math.pi / 4.0 * 0.048**2


@pytest.mark.parametrize(
    ("altitude", "kilopascal", "newton"),
    [
        (500, 5.86, 10.6),
        (1_000, 11.45, 20.7),
        (1_500, 16.77, 30.3),
        (2_000, 21.83, 39.5),
        (3_000, 31.22, 56.5),
    ],
)
def test_climb_at_one_temperature(altitude: float, kilopascal: float, newton: float) -> None:
    """Source: computed by hand from the standard atmosphere, leg kept at its temperature."""
    gauge = gauge_pressure_after_climb(
        0.0, altitude, bled_temperature=293.15, leg_temperature=293.15
    )
    assert gauge / 1e3 == pytest.approx(kilopascal, abs=0.01)
    assert gauge * AREA == pytest.approx(newton, abs=0.06)


@pytest.mark.parametrize(("warmer", "kilopascal"), [(10.0, 3.46), (20.0, 6.91), (30.0, 10.4)])
def test_warming_alone(warmer: float, kilopascal: float) -> None:
    """Source: computed by hand, sealed at sea level and 20 °C."""
    gauge = gauge_pressure(101_325.0, 293.15, 101_325.0, 293.15 + warmer)
    assert gauge / 1e3 == pytest.approx(kilopascal, abs=0.05)


def test_climb_and_heat_together() -> None:
    """Source: computed by hand: 0 m and 20 °C to 2,000 m with air at 45 °C, 30.5 kPa, 55 N."""
    gauge = gauge_pressure_after_climb(
        0.0, 2_000.0, bled_temperature=293.15, leg_temperature=318.15
    )
    assert gauge / 1e3 == pytest.approx(30.5, abs=0.1)
    assert gauge * AREA == pytest.approx(55.0, abs=0.5)


@pytest.mark.parametrize(("celsius", "kilopascal"), [(0, 925), (10, 962), (30, 1_038), (40, 1_075)])
def test_air_fork_against_temperature(celsius: float, kilopascal: float) -> None:
    """Source: computed by hand: an air fork at 1,000 kPa and 20 °C, fixed volume."""
    gauge = gauge_pressure(1_101_325.0, 293.15, 101_325.0, 273.15 + celsius)
    assert gauge / 1e3 == pytest.approx(kilopascal, abs=0.6)


@pytest.mark.parametrize(
    ("travel", "exponent", "newton", "within"),
    [(0.0, 1.3, 36.0, 0.5), (0.3, 1.0, 145.0, 1.0), (0.3, 1.3, 220.0, 2.0)],
)
def test_20_kilopascal_along_the_stroke(
    travel: float, exponent: float, newton: float, within: float
) -> None:
    """Source: computed by hand for a compression ratio of 4: what 20 kPa adds to the leg."""
    leg = SealedLeg(bore=0.048, air_volume=AREA * 0.3 * 4.0 / 3.0, stroke=0.3)
    extra = air_force(leg, 20e3, 101_325.0, travel, exponent) - air_force(
        leg, 0.0, 101_325.0, travel, exponent
    )
    assert extra == pytest.approx(newton, abs=within)


def test_10_kilopascal_lifts_the_front_by_4_millimetres() -> None:
    """Source: computed by hand with 4.7 N/mm springs."""
    assert sag_lost(stand_in().fork_leg, 10e3, 4_700.0) == pytest.approx(0.0039, abs=0.0001)


def test_driving_up_1500_metres_with_sealed_legs_is_felt_where_the_front_is_light() -> None:
    """68 N at the axle extended, 6 mm of sag; harsher on the power, hardly anywhere else.

    Compared with the same bike bled at the top, legs at one temperature. Out of a corner the front
    carries little, so the air holds it on its top-out; loaded or deep it hardly shows.

    Source: computed.
    """
    gauge = gauge_pressure_after_climb(
        0.0, 1_500.0, bled_temperature=293.15, leg_temperature=293.15
    )
    outside = standard_pressure(1_500.0)
    extended = axle_air_force(stand_in().fork_leg, gauge, outside, 0.0, stand_in().rake)
    assert extended == pytest.approx(68.0, abs=1.0)
    assert sag_lost(stand_in().fork_leg, gauge, 4_700.0) == pytest.approx(0.0065, abs=0.0002)

    front, bled = reference_bike().front, reference_setup().front
    bled = replace(bled, air_pressure=outside)
    sealed = replace(bled, trapped_pressure=gauge)
    obstacles = standard_obstacles(front.wheel_radius, np.random.default_rng(1))
    rise = {
        ride.name: harshness(front, sealed, ride) / harshness(front, bled, ride) - 1.0
        for ride in obstacles
    }
    assert 0.04 < max(rise["exit chop"], rise["exit rollers"]) < 0.15
    assert all(rise[name] < 0.03 for name in rise if "exit" not in name)
