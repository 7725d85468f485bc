"""What nobody measured, and how far it may be off.

Source: every spread is from memory. They are wide on purpose, so that the band
is more likely to contain the truth.
"""

from dataclasses import dataclass, fields

import numpy as np

from diagnose.physics.arrays import FloatArray
from diagnose.physics.errors import PhysicsError, not_negative
from diagnose.physics.ride.lanes import UnknownScales

__all__ = ["Unknowns", "draw"]


@dataclass(frozen=True, slots=True)
class Unknowns:
    """Relative spread (standard deviation of the logarithm) of each unknown.

    Attributes are those of :class:`diagnose.physics.ride.lanes.UnknownScales`.

    Raises `PhysicsError` if a spread is negative.
    """

    tyre_stiffness: float = 0.15
    damping: float = 0.20
    step_effect: float = 0.35
    opening: float = 0.25
    friction: float = 0.25
    clamp_friction: float = 0.70
    sprung_mass: float = 0.07
    unsprung_mass: float = 0.08
    air_length: float = 0.15

    def __post_init__(self) -> None:
        """Raises `PhysicsError` for impossible values."""
        for item in fields(self):
            not_negative(f"spread of {item.name}", getattr(self, item.name), "(no unit)")


def draw(unknowns: Unknowns, count: int, rng: np.random.Generator) -> UnknownScales:
    """Return `count` draws, the first of which changes nothing.

    The first draw is the best guess; the others give the band around it.

    Raises `PhysicsError` for fewer than one draw.

    Source: log-normal factors of median 1, our own choice.
    """
    if count < 1:
        raise PhysicsError(f"{count} draws asked for; 1 or more are needed")

    def factor(spread: float) -> FloatArray:
        # Limited to 2.5 spreads: far tails only give bikes that cannot stand.
        sample = np.exp(spread * np.clip(rng.standard_normal(count), -2.5, 2.5))
        sample[0] = 1.0
        return sample

    return UnknownScales(
        **{item.name: factor(getattr(unknowns, item.name)) for item in fields(unknowns)}
    )
