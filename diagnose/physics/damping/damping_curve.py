"""Damping at the wheel: a needle's bleed beside preloaded shims, and what the adjusters do to it.

The oil has two ways through the piston. The bleed that the needle sets is always open and carries
the oil alone while the force is small; above the force at which the shims open, they carry the
rest. So a needle turned in is felt in slow movements and on smooth ground, and hardly in fast ones.

Source of the shape: an orifice (speed as the square root of force) beside a preloaded valve,
common practice. That bleed counts most at low speed and on even roads: Chacón, Boada, Boada and
Díaz, 2017, doi 10.1177/1687814017719004 (abstract seen).
"""

import math
from dataclasses import dataclass, fields, replace

from diagnose.physics.errors import PhysicsError, finite, not_negative, positive

__all__ = ["Adjusters", "DampingCurve"]


@dataclass(frozen=True, slots=True)
class DampingCurve:
    """Damping force against speed, both at the wheel, at the standard adjuster positions.

    `compression_bleed`: speed (m/s) that the open needle lets through per square root of a newton.
    `compression_opens`: force (N) at which the compression shims open.
    `compression_slope`: force (N s/m) that they add above it.
    `rebound_bleed`, `rebound_opens`, `rebound_slope`: the same the other way.

    Raises `PhysicsError` if a bleed or opening force is negative, or a slope is not above zero.
    """

    compression_bleed: float
    compression_opens: float
    compression_slope: float
    rebound_bleed: float
    rebound_opens: float
    rebound_slope: float

    def __post_init__(self) -> None:
        """Raises `PhysicsError` for impossible values."""
        for item in fields(self):
            check = positive if item.name.endswith("slope") else not_negative
            check(item.name.replace("_", " "), getattr(self, item.name), "(SI)")

    @staticmethod
    def straight(slope: float) -> "DampingCurve":
        """Return damping of one `slope` (N s/m) both ways: no bleed, shims without preload."""
        return DampingCurve(0.0, 0.0, slope, 0.0, 0.0, slope)

    def force(self, velocity: float) -> float:
        """Return the damping force (N) at a wheel `velocity` (m/s), compression positive.

        Source: v = b √F + max(0, F - F0) / c, solved for F (computed).
        """
        speed = abs(velocity)
        if velocity >= 0.0:
            bleed, opens = self.compression_bleed, self.compression_opens
            slope = self.compression_slope
        else:
            bleed, opens, slope = self.rebound_bleed, self.rebound_opens, self.rebound_slope
        if speed <= bleed * math.sqrt(opens):
            size = (speed / bleed) ** 2 if bleed > 0.0 else 0.0
        else:
            more = speed + opens / slope
            size = (2.0 * more / (bleed + math.sqrt(bleed**2 + 4.0 * more / slope))) ** 2
        return math.copysign(size, velocity)


@dataclass(frozen=True, slots=True)
class Adjusters:
    """The standard position of each adjuster, and how strongly one step acts.

    Positions are counted out from gently closed: more out is softer. The high-speed adjuster
    counts turns, the others clicks.

    `low_compression_standard`: clicks out the curve was given at.
    `high_compression_standard`: turns out the curve was given at.
    `rebound_standard`: clicks out the curve was given at.
    `shut_share`: bleed left with the needle shut, as a share of the standard; 0.15 is our own,
        sized so that a shut needle is some four times as firm at 0.1 m/s.
    `per_turn`: relative change of the force that opens the compression shims, per turn; 0.30 is
        from memory (0.15 to 0.5).

    Raises `PhysicsError` if a position is negative, a share is not above zero and at most 1, or a
    turn has no effect.
    """

    low_compression_standard: float = 10.0
    high_compression_standard: float = 1.75
    rebound_standard: float = 12.0
    shut_share: float = 0.15
    per_turn: float = 0.30

    def __post_init__(self) -> None:
        """Raises `PhysicsError` for impossible values."""
        not_negative("low-speed standard", self.low_compression_standard, "clicks out")
        not_negative("high-speed standard", self.high_compression_standard, "turns out")
        not_negative("rebound standard", self.rebound_standard, "clicks out")
        positive("effect of a turn", self.per_turn, "per turn")
        if not 0.0 < self.shut_share <= 1.0:
            raise PhysicsError(
                f"bleed left with the needle shut is {self.shut_share:g}; "
                "it must be above 0 and at most 1"
            )

    def bleed_left(self, out: float, standard: float) -> float:
        """Return the bleed at `out` clicks, as a share of that at `standard` clicks.

        A needle that stands shut by the book is taken to have a standard of one click.

        Source: straight from shut to standard and on, our own model of a needle.
        """
        return self.shut_share + (1.0 - self.shut_share) * finite("clicks", out, "out") / max(
            standard, 1.0
        )

    def apply(
        self, curve: DampingCurve, low_out: float, high_out: float, rebound_out: float
    ) -> DampingCurve:
        """Return `curve` (given at the standard positions) at other positions.

        `curve`: the curve at the standard positions.
        `low_out`: low-speed compression, clicks out.
        `high_out`: high-speed compression, turns out.
        `rebound_out`: rebound, clicks out.

        Raises `PhysicsError` if a position is not a number.

        Source: :meth:`bleed_left` for the needles; an exponential model of a turn, from memory.
        """
        turns_in = self.high_compression_standard - finite("high-speed", high_out, "out")
        low = self.bleed_left(low_out, self.low_compression_standard)
        back = self.bleed_left(rebound_out, self.rebound_standard)
        return replace(
            curve,
            compression_bleed=curve.compression_bleed * low,
            compression_opens=curve.compression_opens * math.exp(self.per_turn * turns_in),
            rebound_bleed=curve.rebound_bleed * back,
        )
