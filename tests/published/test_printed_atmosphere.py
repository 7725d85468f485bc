"""The standard atmosphere against a printed table."""

import pytest

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
