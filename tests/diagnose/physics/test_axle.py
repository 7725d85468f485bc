"""Hardware and setup refuse what cannot be."""

import math
from dataclasses import replace
from typing import Any

import pytest

from diagnose.physics.errors import PhysicsError
from diagnose.physics.ride.axle import AirColumn, Axle, Setup, fork_air_column
from diagnose.physics.springs.trapped_air import SealedLeg, axle_air_force

LEG = SealedLeg(bore=0.048, air_volume=0.000724, stroke=0.300)


@pytest.mark.parametrize("travel", [0.0, 0.1, 0.25])
def test_air_column_is_the_legs_seen_from_the_wheel(travel: float) -> None:
    """Force at the wheel is the same by either road."""
    rake = math.radians(27.0)
    column = fork_air_column(LEG, rake)
    squeeze = (1.0 - travel * math.cos(rake) / column.length) ** -column.exponent
    force = column.area * ((5e3 + 95e3) * squeeze - 95e3)
    assert force == pytest.approx(axle_air_force(LEG, 5e3, 95e3, travel, rake))


@pytest.mark.parametrize(
    ("field", "value", "said"),
    [
        ("sprung_mass", 0.0, "sprung mass"),
        ("unsprung_mass", -1.0, "unsprung mass"),
        ("wheel_radius", 0.0, "wheel radius"),
        ("tyre_damping", -1.0, "tyre damping"),
        ("travel", -0.3, "travel"),
        ("bump_start", 0.5, "bump stop start"),
        ("air", AirColumn(area=0.004, length=0.2), "longer than the travel"),
    ],
)
def test_impossible_hardware_is_refused(axle: Axle, field: str, value: Any, said: str) -> None:
    """Each message names its value."""
    with pytest.raises(PhysicsError, match=said):
        replace(axle, **{field: value})


@pytest.mark.parametrize(
    ("field", "value", "said"),
    [
        ("tyre_pressure", -1.0, "tyre pressure"),
        ("rebound", -1.0, "rebound"),
        ("friction", -1.0, "friction"),
        ("spring_rate", 0.0, "spring rate"),
        ("spring_preload", math.nan, "spring preload"),
        ("trapped_pressure", -101_325.0, "below a vacuum"),
        ("air_pressure", 0.0, "air pressure"),
    ],
)
def test_impossible_setups_are_refused(setup: Setup, field: str, value: float, said: str) -> None:
    """Each message names its value."""
    with pytest.raises(PhysicsError, match=said):
        replace(setup, **{field: value})


def test_air_columns_need_legs() -> None:
    """No legs, no column."""
    with pytest.raises(PhysicsError, match="legs"):
        fork_air_column(LEG, 0.4, legs=0)
    with pytest.raises(PhysicsError, match="air area"):
        AirColumn(area=-1.0, length=0.3)
