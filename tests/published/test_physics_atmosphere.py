"""The standard atmosphere against printed tables and an independent implementation."""

import pytest
from ambiance import Atmosphere

from diagnose.physics.atmosphere import (
    geopotential_altitude,
    standard_density,
    standard_pressure,
    standard_temperature,
)


@pytest.mark.parametrize(
    ("height", "kelvin", "bar", "relative_density"),
    [
        (-1_000, 294.7, 1.1393, 1.0996),
        (0, 288.15, 1.01325, 1.0),
        (500, 284.9, 0.9546, 0.9529),
        (1_000, 281.7, 0.8988, 0.9075),
        (1_500, 278.4, 0.8456, 0.8638),
        (2_000, 275.2, 0.7950, 0.8217),
        (3_000, 268.7, 0.7012, 0.7423),
        (5_000, 255.7, 0.5405, 0.6012),
        (8_000, 236.2, 0.3565, 0.4292),
        (11_000, 216.8, 0.2270, 0.2978),
    ],
)
def test_printed_table(height: float, kelvin: float, bar: float, relative_density: float) -> None:
    """Every printed digit, at geometric heights.

    Source: "International Standard Atmosphere" table, The Engineering ToolBox (seen).
    """
    altitude = geopotential_altitude(height)
    assert standard_temperature(altitude) == pytest.approx(kelvin, abs=0.06)
    assert standard_pressure(altitude) / 1e5 == pytest.approx(bar, abs=0.00006)
    assert standard_density(altitude) / 1.225 == pytest.approx(relative_density, abs=0.00006)


@pytest.mark.parametrize(
    ("altitude", "pascal"),
    [(1_000, 89_874.6), (2_000, 79_495.2), (5_000, 54_019.9), (11_000, 22_632.0)],
)
def test_values_by_geopotential_altitude(altitude: float, pascal: float) -> None:
    """Source: ISO 2533:1975 table, values from memory; 22 632 Pa at the tropopause also seen."""
    assert standard_pressure(altitude) == pytest.approx(pascal, abs=1.0)


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
