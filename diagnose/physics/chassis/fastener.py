"""Bolt preload from torque, and the side load of fork legs that are out of line.

Preload from torque is uncertain by nature; the side loads are order-of-magnitude figures,
good for telling "a few newtons" from "enough to feel", and say so in their type.
"""

import math
from dataclasses import dataclass

from diagnose.physics.errors import PhysicsError, not_negative, positive

__all__ = [
    "NUT_FACTOR_DRY",
    "NUT_FACTOR_GREASED",
    "NUT_FACTOR_OILED",
    "TORQUE_SCATTER",
    "ForkLeg",
    "Spread",
    "clamp_load_ratio",
    "friction_from_axle_misfit",
    "friction_from_unequal_height",
    "preload",
]

NUT_FACTOR_DRY = 0.20
"""K of clean dry steel threads. Common practice."""

NUT_FACTOR_OILED = 0.15
"""K of oiled threads. Common practice."""

NUT_FACTOR_GREASED = 0.12
"""K of greased threads. Common practice."""

TORQUE_SCATTER = 0.30
"""Relative scatter of preload at a given torque with a hand torque wrench. Common practice."""


@dataclass(frozen=True, slots=True)
class Spread:
    """A middle value and the range it probably lies in, all in the same unit."""

    middle: float
    low: float
    high: float


def preload(
    torque: float,
    diameter: float,
    nut_factor: float = NUT_FACTOR_DRY,
    scatter: float = TORQUE_SCATTER,
) -> Spread:
    """Return the preload (N) of one bolt tightened to `torque`.

    `torque`: tightening torque (N m).
    `diameter`: nominal thread diameter (m).
    `nut_factor`: K, between 0.05 and 0.5.
    `scatter`: relative scatter either way, below 1.

    Raises `PhysicsError` for negative torque, diameter not above zero, K or scatter out of range.

    Source: F = T / (K d), common practice in every fastener text.
    """
    not_negative("torque", torque, "N m")
    positive("thread diameter", diameter, "m")
    if not 0.05 <= nut_factor <= 0.5:
        raise PhysicsError(f"nut factor is {nut_factor:g}; it must be between 0.05 and 0.5")
    if not 0.0 <= scatter < 1.0:
        raise PhysicsError(f"scatter is {scatter:g}; it must be 0 or more and below 1")
    middle = torque / (nut_factor * diameter)
    return Spread(middle, middle * (1.0 - scatter), middle * (1.0 + scatter))


def clamp_load_ratio(
    torque: float, spec_torque: float, nut_factor: float, spec_nut_factor: float = NUT_FACTOR_DRY
) -> float:
    """Return the clamp load as a multiple of what the specification means.

    A greased thread at a dry torque clamps about 1.7 times as hard without the wrench
    showing it.

    `torque`: torque used (N m).
    `spec_torque`: torque specified (N m).
    `nut_factor`: K of the threads as found.
    `spec_nut_factor`: K the specification was written for.

    Raises `PhysicsError` if a value is not above zero.

    Source: F = T / (K d) taken twice (computed).
    """
    positive("torque", torque, "N m")
    positive("specified torque", spec_torque, "N m")
    positive("nut factor", nut_factor, "(no unit)")
    positive("specified nut factor", spec_nut_factor, "(no unit)")
    return torque / spec_torque * spec_nut_factor / nut_factor


@dataclass(frozen=True, slots=True)
class ForkLeg:
    """A fork leg as a beam held in the lower clamp.

    Every default is from memory for a full-size leg, and is what makes the results below
    orders of magnitude only.

    `outer_diameter`: of the tube (m).
    `wall`: thickness (m) of the tube.
    `modulus`: of elasticity (Pa); 210 GPa is steel.
    `free_length`: from the lower clamp to the axle (m).
    `overlap`: distance (m) between the two bushings.
    `spacing`: between the leg centres (m).
    `bushing_play`: sideways play (m) of a bushing.
    `friction_coefficient`: of a lubricated bushing.

    Raises `PhysicsError` if a size is not above zero, or the wall is thicker than the tube.
    """

    outer_diameter: float = 0.048
    wall: float = 0.002
    modulus: float = 210e9
    free_length: float = 0.60
    overlap: float = 0.15
    spacing: float = 0.20
    bushing_play: float = 0.000_15
    friction_coefficient: float = 0.10

    def __post_init__(self) -> None:
        """Raises `PhysicsError` for impossible values."""
        for name in self.__slots__:
            positive(name.replace("_", " "), getattr(self, name), "SI")
        if 2.0 * self.wall > self.outer_diameter:
            raise PhysicsError(
                f"wall is {self.wall:g} m, too thick for a tube of {self.outer_diameter:g} m"
            )

    @property
    def bending_stiffness(self) -> float:
        """E I of the tube (N m²)."""
        inner = self.outer_diameter - 2.0 * self.wall
        return self.modulus * math.pi / 64.0 * (self.outer_diameter**4 - inner**4)


def _order_of_magnitude(middle: float) -> Spread:
    return Spread(middle, middle / 3.0, middle * 3.0)


def friction_from_axle_misfit(misfit: float, leg: ForkLeg | None = None) -> Spread:
    """Return the added friction (N, along one leg) when the axle clamps a leg out of place.

    `misfit`: how far (m) the axle pulls the leg's foot sideways from where it hangs free.
    `leg`: the leg; left out means the full-size default.

    Order of magnitude only: the band is a factor of three either way.

    Raises `PhysicsError` for negative misfit.

    Source: computed, from memory inputs: cantilever force 3 E I δ / L³ at the axle, reacted
    by two bushings the overlap apart, times the friction coefficient.
    """
    leg = leg or ForkLeg()
    bent = max(not_negative("axle misfit", misfit, "m") - leg.bushing_play, 0.0)
    side_force = 3.0 * leg.bending_stiffness * bent / leg.free_length**3
    on_bushings = side_force * (1.0 + 2.0 * leg.free_length / leg.overlap)
    return _order_of_magnitude(leg.friction_coefficient * on_bushings)


def friction_from_unequal_height(difference: float, leg: ForkLeg | None = None) -> Spread:
    """Return the added friction (N, along each leg) when one tube stands higher than the other.

    `difference`: height difference (m) of the tubes in the clamps.
    `leg`: the leg; left out means the full-size default.

    Order of magnitude only: the band is a factor of three either way.

    Raises `PhysicsError` for negative difference.

    Source: computed, from memory inputs: the axle tilts by the difference over the leg
    spacing; what the bushing play does not take up bends each leg with a moment E I θ / L,
    which two bushings the overlap apart react.
    """
    leg = leg or ForkLeg()
    not_negative("height difference", difference, "m")
    tilt = max(difference / leg.spacing - leg.bushing_play / leg.overlap, 0.0)
    moment = leg.bending_stiffness * tilt / leg.free_length
    return _order_of_magnitude(leg.friction_coefficient * 2.0 * moment / leg.overlap)
