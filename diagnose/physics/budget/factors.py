"""What the excess harshness is shared over."""

from enum import StrEnum

__all__ = ["Factor"]


class Factor(StrEnum):
    """One thing that can be other than it should be at one end of the bike."""

    TYRE_PRESSURE = "tyre pressure"
    LOW_SPEED_COMPRESSION = "low-speed compression"
    HIGH_SPEED_COMPRESSION = "high-speed compression"
    REBOUND = "rebound"
    FRICTION = "friction"
    TRAPPED_AIR = "trapped air"
    SPRING = "spring"
