"""The standard atmosphere by its own laws; tables are in tests/published."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.physics.atmosphere import (
    GAS_CONSTANT,
    HIGHEST_ALTITUDE,
    LOWEST_ALTITUDE,
    STANDARD_GRAVITY,
    geopotential_altitude,
    pressure_altitude,
    standard_density,
    standard_pressure,
    standard_temperature,
)
from diagnose.physics.errors import PhysicsError

altitudes = st.floats(-4_990.0, 10_990.0)


@given(altitudes)
def test_air_weighs_what_it_presses(altitude: float) -> None:
    """Hydrostatic balance: pressure falls by the weight of the air passed."""
    fall = standard_pressure(altitude - 1.0) - standard_pressure(altitude + 1.0)
    assert fall == pytest.approx(2.0 * standard_density(altitude) * STANDARD_GRAVITY, rel=1e-6)


@given(altitudes)
def test_gas_law_holds(altitude: float) -> None:
    """Pressure, density and temperature fit the gas law."""
    expected = standard_density(altitude) * GAS_CONSTANT * standard_temperature(altitude)
    assert standard_pressure(altitude) == pytest.approx(expected)


@given(altitudes)
def test_pressure_altitude_undoes_pressure(altitude: float) -> None:
    """A barometer reading gives its altitude back."""
    assert pressure_altitude(standard_pressure(altitude)) == pytest.approx(altitude, abs=1e-6)


@given(altitudes, altitudes)
def test_higher_is_thinner(one: float, other: float) -> None:
    """Pressure never rises with altitude."""
    low, high = sorted((one, other))
    assert standard_pressure(high) <= standard_pressure(low)


def test_geopotential_is_a_little_below_the_map_height() -> None:
    """1.4 m at 3,000 m, as the docstring says; none at the sea."""
    assert geopotential_altitude(0.0) == 0.0
    assert 3_000.0 - geopotential_altitude(3_000.0) == pytest.approx(1.415, abs=0.005)


@pytest.mark.parametrize("altitude", [LOWEST_ALTITUDE - 1.0, HIGHEST_ALTITUDE + 1.0])
def test_outside_the_table_is_refused(altitude: float) -> None:
    """Nothing is extrapolated beyond the layer."""
    for law in (standard_pressure, standard_temperature, standard_density):
        with pytest.raises(PhysicsError, match="altitude"):
            law(altitude)


@pytest.mark.parametrize("pressure", [0.0, -5.0, 1_000.0, 300_000.0])
def test_pressure_of_no_altitude_is_refused(pressure: float) -> None:
    """A vacuum, the stratosphere and a deep mine are not workshop readings."""
    with pytest.raises(PhysicsError):
        pressure_altitude(pressure)
