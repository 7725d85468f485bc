"""The factors that the excess harshness is divided between."""

from enum import StrEnum

__all__ = ["Factor"]


class Factor(StrEnum):
    """One thing that can be wrong at one end of the bike."""

    TYRE_PRESSURE = "tyre pressure"
    LOW_SPEED_COMPRESSION = "low-speed compression"
    HIGH_SPEED_COMPRESSION = "high-speed compression"
    REBOUND = "rebound"
    FRICTION = "friction"
    TRAPPED_AIR = "trapped air"
    OIL_LEVEL = "oil level"
    SPRING = "spring"
