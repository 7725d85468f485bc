"""Trapped air against hand calculations.

What is checked against paper here is arithmetic done apart from the code, from the gas law
and printed atmosphere values; no maker prints a figure for a sealed conventional fork.
"""

import math
from dataclasses import replace

import numpy as np
import pytest

from diagnose.physics.atmosphere import standard_pressure
from diagnose.physics.harshness import harshness
from diagnose.physics.obstacles import standard_obstacles
from diagnose.physics.reference_bike import FORK_LEG, RAKE, reference_bike, reference_setup
from diagnose.physics.trapped_air import (
    SealedLeg,
    air_force,
    axle_air_force,
    gauge_pressure,
    gauge_pressure_after_climb,
    sag_lost,
)

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
    assert sag_lost(FORK_LEG, 10e3, 4_700.0) == pytest.approx(0.0039, abs=0.0001)


def test_driving_up_1500_metres_with_sealed_legs_stiffens_only_a_little() -> None:
    """How little: 68 N at the axle extended, 6 mm of sag, and hardly any harshness.

    Compared with the same bike bled at the top, legs at one temperature. Harshness rises by
    under 1 % over chop, edge, braking bumps and rough ground and by 1 to 5 % on a landing,
    where the last of the stroke is used. The trade holds that bleeding matters; the air of a
    conventional fork over one mountain is not what makes a bike beat its rider up.

    Source: computed.
    """
    gauge = gauge_pressure_after_climb(
        0.0, 1_500.0, bled_temperature=293.15, leg_temperature=293.15
    )
    outside = standard_pressure(1_500.0)
    extended = axle_air_force(FORK_LEG, gauge, outside, 0.0, RAKE)
    assert extended == pytest.approx(68.0, abs=1.0)
    assert sag_lost(FORK_LEG, gauge, 4_700.0) == pytest.approx(0.0065, abs=0.0002)

    front, bled = reference_bike().front, reference_setup().front
    bled = replace(bled, air_pressure=outside)
    sealed = replace(bled, trapped_pressure=gauge)
    obstacles = standard_obstacles(front.wheel_radius, np.random.default_rng(1))
    rise = {
        obstacle.name: harshness(front, sealed, obstacle).value
        / harshness(front, bled, obstacle).value
        - 1.0
        for obstacle in obstacles
    }
    small = [
        rise.pop(name) for name in ("small chop", "square edge", "braking bumps", "rolling ground")
    ]
    assert all(-0.002 < part < 0.01 for part in small)
    assert 0.01 < rise["landing"] < 0.05
