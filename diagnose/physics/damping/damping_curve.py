"""Digressive damping at the wheel, and what the adjusters do to it.

"Low speed" and "high speed" are speeds of the shaft, not of the bike: below the knee the bleed
that the low-speed adjuster sets carries the oil, above it the shims open.

Source of the shape: common practice (two straight parts joined at a knee).
"""

import math
from dataclasses import dataclass, replace

from diagnose.physics.errors import PhysicsError, finite, not_negative, positive

__all__ = ["Adjusters", "DampingCurve"]


@dataclass(frozen=True, slots=True)
class DampingCurve:
    """Damping force against speed, both at the wheel.

    `low_compression`: slope (N s/m) below the compression knee.
    `high_compression`: slope (N s/m) above it.
    `low_rebound`: slope (N s/m) below the rebound knee.
    `high_rebound`: slope (N s/m) above it.
    `compression_knee`: wheel speed (m/s) of the compression knee.
    `rebound_knee`: wheel speed (m/s) of the rebound knee.

    Raises `PhysicsError` if a slope is negative, or a knee is not above 0.02 m/s.
    """

    low_compression: float
    high_compression: float
    low_rebound: float
    high_rebound: float
    compression_knee: float
    rebound_knee: float

    def __post_init__(self) -> None:
        """Raises `PhysicsError` for impossible values."""
        for name in ("low_compression", "high_compression", "low_rebound", "high_rebound"):
            not_negative(name.replace("_", " ") + " damping", getattr(self, name), "N s/m")
        for name in ("compression_knee", "rebound_knee"):
            knee = getattr(self, name)
            if not (math.isfinite(knee) and knee > 0.02):
                raise PhysicsError(
                    f"{name.replace('_', ' ')} is {knee:g} m/s; it must be above 0.02 m/s"
                )

    def force(self, velocity: float) -> float:
        """Return the damping force (N) at a wheel `velocity` (m/s), compression positive.

        Source: two straight parts joined at the knee.
        """
        speed = abs(velocity)
        if velocity >= 0.0:
            low, high, knee = self.low_compression, self.high_compression, self.compression_knee
        else:
            low, high, knee = self.low_rebound, self.high_rebound, self.rebound_knee
        size = low * min(speed, knee) + high * max(speed - knee, 0.0)
        return math.copysign(size, velocity)


@dataclass(frozen=True, slots=True)
class Adjusters:
    """The standard position of each adjuster, and how strongly one step acts.

    Positions are counted out from gently closed: more out is softer. The high-speed adjuster
    counts turns, the others clicks. A step multiplies the slope, so equal steps act alike
    wherever they start.

    `low_compression_standard`: clicks out the curve was given at.
    `high_compression_standard`: turns out the curve was given at.
    `rebound_standard`: clicks out the curve was given at.
    `per_click`: relative change of a low-speed slope per click; 0.05 is from memory
        (0.03 to 0.08).
    `per_turn`: relative change of the high-speed slope per turn; 0.30 is from memory
        (0.15 to 0.5).
    `rebound_high_share`: how much of a rebound click reaches the high-speed rebound slope;
        0.5 is from memory.

    Raises `PhysicsError` if a position or share is negative or a step effect is not above zero.
    """

    low_compression_standard: float = 10.0
    high_compression_standard: float = 1.75
    rebound_standard: float = 12.0
    per_click: float = 0.05
    per_turn: float = 0.30
    rebound_high_share: float = 0.5

    def __post_init__(self) -> None:
        """Raises `PhysicsError` for impossible values."""
        not_negative("low-speed standard", self.low_compression_standard, "clicks out")
        not_negative("high-speed standard", self.high_compression_standard, "turns out")
        not_negative("rebound standard", self.rebound_standard, "clicks out")
        positive("effect of a click", self.per_click, "per click")
        positive("effect of a turn", self.per_turn, "per turn")
        not_negative("high-speed share of rebound", self.rebound_high_share, "(no unit)")

    def apply(
        self, curve: DampingCurve, low_out: float, high_out: float, rebound_out: float
    ) -> DampingCurve:
        """Return `curve` (given at the standard positions) at other positions.

        `curve`: the curve at the standard positions.
        `low_out`: low-speed compression, clicks out.
        `high_out`: high-speed compression, turns out.
        `rebound_out`: rebound, clicks out.

        Raises `PhysicsError` if a position is not a number.

        Source: our own exponential model of a click, sized from memory.
        """
        low = math.exp(
            self.per_click * (self.low_compression_standard - finite("low-speed", low_out, "out"))
        )
        high = math.exp(
            self.per_turn * (self.high_compression_standard - finite("high-speed", high_out, "out"))
        )
        clicks = self.rebound_standard - finite("rebound", rebound_out, "out")
        return replace(
            curve,
            low_compression=curve.low_compression * low,
            high_compression=curve.high_compression * high,
            low_rebound=curve.low_rebound * math.exp(self.per_click * clicks),
            high_rebound=curve.high_rebound
            * math.exp(self.per_click * self.rebound_high_share * clicks),
        )
