"""The ICAO standard atmosphere up to the tropopause.

Pressure of the open air is what a gauge measures against, so it decides how hard a fork leg
or a tyre closed at one altitude is at another.

Source of the constants: ISO 2533:1975 / ICAO Doc 7488 (sea-level pressure, temperature and
lapse rate seen; gas constant and Earth radius from memory, confirmed by agreement with the
tables in `tests/published`). A weather front moves the real pressure by some 2 kPa either
way (from memory), which the standard atmosphere leaves out.
"""

from diagnose.physics.errors import positive, within

__all__ = [
    "HIGHEST_ALTITUDE",
    "LOWEST_ALTITUDE",
    "SEA_LEVEL_PRESSURE",
    "SEA_LEVEL_TEMPERATURE",
    "STANDARD_GRAVITY",
    "geopotential_altitude",
    "pressure_altitude",
    "standard_density",
    "standard_pressure",
    "standard_temperature",
]

SEA_LEVEL_PRESSURE = 101_325.0
"""Pa at zero altitude. Source: ISO 2533."""

SEA_LEVEL_TEMPERATURE = 288.15
"""K at zero altitude (15 °C). Source: ISO 2533."""

LAPSE_RATE = 0.0065
"""K lost per metre climbed, up to 11 km. Source: ISO 2533."""

STANDARD_GRAVITY = 9.80665
"""m/s². Source: ISO 2533 (the conventional value)."""

GAS_CONSTANT = 287.05287
"""J/(kg K) for dry air. Source: ISO 2533, from memory."""

EARTH_RADIUS = 6_356_766.0
"""m, for turning height into geopotential altitude. Source: ISO 2533, from memory."""

LOWEST_ALTITUDE = -5_000.0
"""m. Source: ISO 2533, addendum 2, extends the table down to here."""

HIGHEST_ALTITUDE = 11_000.0
"""m: the tropopause, where the constant lapse rate ends. Source: ISO 2533."""

_EXPONENT = STANDARD_GRAVITY / (GAS_CONSTANT * LAPSE_RATE)


def _checked(altitude: float) -> float:
    return within("altitude", altitude, LOWEST_ALTITUDE, HIGHEST_ALTITUDE, "m")


def geopotential_altitude(height: float) -> float:
    """Return the geopotential altitude (m) of a geometric `height` (m) above sea level.

    The other functions take geopotential altitude. At 3,000 m the two differ by 1.4 m, so a
    map height may be used as it is.

    Raises `PhysicsError` if `height` is outside -5,000 to 11,020 m.

    Source: ISO 2533: H = r h / (r + h).
    """
    within("height", height, LOWEST_ALTITUDE, HIGHEST_ALTITUDE + 20.0, "m")
    return EARTH_RADIUS * height / (EARTH_RADIUS + height)


def standard_temperature(altitude: float) -> float:
    """Return the standard air temperature (K) at `altitude` (m).

    Raises `PhysicsError` if `altitude` is outside -5,000 to 11,000 m.

    Source: ISO 2533: T = T0 - L H.
    """
    return SEA_LEVEL_TEMPERATURE - LAPSE_RATE * _checked(altitude)


def standard_pressure(altitude: float) -> float:
    """Return the standard air pressure (Pa, absolute) at `altitude` (m).

    Raises `PhysicsError` if `altitude` is outside -5,000 to 11,000 m.

    Source: ISO 2533: p = p0 (T / T0)^(g / R L), exponent 5.25588.
    """
    ratio = standard_temperature(altitude) / SEA_LEVEL_TEMPERATURE
    return float(SEA_LEVEL_PRESSURE * ratio**_EXPONENT)


def standard_density(altitude: float) -> float:
    """Return the standard air density (kg/m³) at `altitude` (m).

    Raises `PhysicsError` if `altitude` is outside -5,000 to 11,000 m.

    Source: ISO 2533: ρ = p / (R T).
    """
    return standard_pressure(altitude) / (GAS_CONSTANT * standard_temperature(altitude))


def pressure_altitude(pressure: float) -> float:
    """Return the altitude (m) at which the standard atmosphere has `pressure` (Pa).

    For a workshop barometer instead of a map.

    Raises `PhysicsError` if `pressure` is not above zero, or belongs to an altitude outside the
    range of the standard atmosphere used here.

    Source: ISO 2533, solved for altitude.
    """
    ratio = positive("air pressure", pressure, "Pa") / SEA_LEVEL_PRESSURE
    return _checked(float(SEA_LEVEL_TEMPERATURE / LAPSE_RATE * (1.0 - ratio ** (1.0 / _EXPONENT))))
