"""Forces that depend on travel alone: spring, trapped air, bump stop, top-out spring.

One array entry a lane; everything at the wheel, vertically.
"""

from dataclasses import dataclass

import numpy as np

from diagnose.physics.arrays import FloatArray
from diagnose.physics.errors import PhysicsError

__all__ = ["LEAST_AIR", "Suspension"]

LEAST_AIR = 0.02
"""Share of the air column below which it is squeezed no further. Keeps a wild landing finite;
our own choice, far beyond full travel."""


@dataclass(frozen=True, slots=True)
class Suspension:
    """Spring, air and stops of many lanes.

    `spring_rate`: N/m.
    `spring_preload`: force (N) at full extension.
    `air_absolute`: absolute air pressure at full extension times air area (N).
    `air_outside`: open-air pressure times air area (N).
    `air_length`: travel (m) that would squeeze the air to nothing.
    `air_exponent`: polytropic exponent.
    `bump_start`: travel (m) at which the bump stop is met.
    `bump_stiffness`: N/m², times the square of the distance into it.
    `top_out_stiffness`: N/m, below full extension.
    `travel`: full travel (m).
    `has_air`: whether any lane holds air.
    """

    spring_rate: FloatArray
    spring_preload: FloatArray
    air_absolute: FloatArray
    air_outside: FloatArray
    air_length: FloatArray
    air_exponent: float
    bump_start: float
    bump_stiffness: float
    top_out_stiffness: float
    travel: float
    has_air: bool

    def force(self, travel: FloatArray) -> FloatArray:
        """Return the force (N) at a wheel `travel` (m), pushing the wheel out.

        Source: as :meth:`forces`.
        """
        return self.forces(travel)[0]

    def forces(self, travel: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Return the force (N) at a wheel `travel` (m), pushing the wheel out, and the part of it
        that the air inside makes against the open air.

        Source: linear spring; polytropic air; a bump stop growing with the square of the
        distance into it; a linear top-out spring (computed).
        """
        force: FloatArray = travel * self.spring_rate
        force += self.spring_preload
        force += self.bump_stiffness * np.square(np.maximum(travel - self.bump_start, 0.0))
        force += self.top_out_stiffness * np.minimum(travel, 0.0)
        if not self.has_air:
            return force, np.zeros(1)
        # a power by way of exp and log takes a quarter of the time of **
        air = np.exp(-self.air_exponent * np.log(self._air_left(travel)))
        air *= self.air_absolute
        air -= self.air_outside
        force += air
        return force, air

    def rest(self, weight: FloatArray) -> FloatArray:
        """Return the travel (m) at which each lane carries `weight` (N), friction left out.

        Raises `PhysicsError` if a lane would stand beyond its travel.

        Source: balance of weight and force, by bisection (computed).
        """
        low, high = np.full(weight.size, -0.05), np.full(weight.size, self.travel)
        short = self.force(high) < weight
        if np.any(short):
            raise PhysicsError(
                f"weight of {weight[np.argmax(short)]:g} N uses up all {self.travel:g} m of "
                "travel; a stiffer spring, more preload or less load is needed"
            )
        for _ in range(44):
            middle = 0.5 * (low + high)
            above = self.force(middle) > weight
            high = np.where(above, middle, high)
            low = np.where(above, low, middle)
        rest: FloatArray = 0.5 * (low + high)
        return rest

    def _air_left(self, travel: FloatArray) -> FloatArray:
        left: FloatArray = np.maximum(1.0 - travel / self.air_length, LEAST_AIR)
        return left
