"""Closed forms of the two-mass model in its linear limit, to check the simulation against.

Linear limit: one damping slope, no friction, no trapped air, no stops, tyre on the ground.

Source: the standard two-mass (quarter-car) equations (computed from Newton's law); a printed
example of the natural frequencies is in `tests/published`.
"""

import math
from dataclasses import dataclass

from diagnose.physics.errors import not_negative, positive

__all__ = ["TwoMass", "damping_for_ratio", "natural_frequencies"]


@dataclass(frozen=True, slots=True)
class TwoMass:
    """A linear two-mass model, all SI.

    `sprung_mass`: kg.
    `unsprung_mass`: kg.
    `spring_rate`: N/m at the wheel.
    `damping`: N s/m at the wheel.
    `tyre_stiffness`: N/m.
    `tyre_damping`: N s/m.

    Raises `PhysicsError` for a mass or stiffness not above zero, or negative damping.
    """

    sprung_mass: float
    unsprung_mass: float
    spring_rate: float
    damping: float
    tyre_stiffness: float
    tyre_damping: float = 0.0

    def __post_init__(self) -> None:
        """Raises `PhysicsError` for impossible values."""
        positive("sprung mass", self.sprung_mass, "kg")
        positive("unsprung mass", self.unsprung_mass, "kg")
        positive("spring rate", self.spring_rate, "N/m")
        positive("tyre stiffness", self.tyre_stiffness, "N/m")
        not_negative("damping", self.damping, "N s/m")
        not_negative("tyre damping", self.tyre_damping, "N s/m")


def natural_frequencies(model: TwoMass) -> tuple[float, float]:
    """Return the undamped body and wheel-hop frequencies (Hz), lower first.

    Source: roots of M_s M_u ω⁴ - (M_s (k + k_t) + M_u k) ω² + k k_t = 0.
    """
    a = model.sprung_mass * model.unsprung_mass
    b = model.sprung_mass * (model.spring_rate + model.tyre_stiffness)
    b += model.unsprung_mass * model.spring_rate
    c = model.spring_rate * model.tyre_stiffness
    root = math.sqrt(b * b - 4.0 * a * c)
    # The lower root as 2c / (b + root) stays accurate when the two are far apart.
    lower, upper = 2.0 * c / (b + root), (b + root) / (2.0 * a)
    return math.sqrt(lower) / (2.0 * math.pi), math.sqrt(upper) / (2.0 * math.pi)


def damping_for_ratio(ratio: float, sprung_mass: float, spring_rate: float) -> float:
    """Return the damping (N s/m at the wheel) for a body damping `ratio`, rigid tyre.

    Raises `PhysicsError` for a negative ratio, or mass or rate not above zero.

    Source: c = 2 ζ √(k m).
    """
    not_negative("damping ratio", ratio, "(no unit)")
    positive("sprung mass", sprung_mass, "kg")
    positive("spring rate", spring_rate, "N/m")
    return 2.0 * ratio * math.sqrt(spring_rate * sprung_mass)
