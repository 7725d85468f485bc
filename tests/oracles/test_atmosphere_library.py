"""The standard atmosphere against an independent implementation."""

import pytest
from ambiance import Atmosphere

from diagnose.physics.atmosphere import (
    geopotential_altitude,
    standard_density,
    standard_pressure,
    standard_temperature,
)


@pytest.mark.parametrize("height", [-4_000, -300, 0, 430, 1_500, 2_750, 6_000, 10_999])
def test_reference_library(height: float) -> None:
    """To one in a million: below the sea the library starts from a rounded base value.

    Source: `ambiance`, an implementation of ICAO Doc 7488, third edition, 1993.
    """
    reference, altitude = Atmosphere(height), geopotential_altitude(height)
    assert standard_pressure(altitude) == pytest.approx(float(reference.pressure[0]), rel=1e-6)
    assert standard_temperature(altitude) == pytest.approx(
        float(reference.temperature[0]), rel=1e-9
    )
    assert standard_density(altitude) == pytest.approx(float(reference.density[0]), rel=1e-6)
