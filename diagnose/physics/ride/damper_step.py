"""One implicit step of damper and dry friction, solved exactly.

Damping is a straight line either side of its knee, and friction is held by a steep straight
line below the holding speed. So speed after the step is a chain of straight lines in the
speed there would be without damper: the implicit mid-point equation needs no iteration, and
no friction, however high, makes it unstable.

Source: implicit mid-point rule; the closed form is computed.
"""

from dataclasses import dataclass

import numpy as np

from diagnose.physics.arrays import FloatArray

__all__ = ["HOLDING_SPEED", "DamperStep"]

HOLDING_SPEED = 0.005
"""m/s below which friction holds rather than slides. Our own choice."""


@dataclass(frozen=True, slots=True)
class DamperStep:
    """The chain of lines as a base slope and five hinges, one column a lane.

    `base`: slope through zero.
    `sign`: which way each hinge opens.
    `at`: speed (m/s) at which each hinge opens.
    `weight`: slope each hinge adds.
    """

    base: FloatArray
    sign: FloatArray
    at: FloatArray
    weight: FloatArray

    @staticmethod
    def of(
        compression: tuple[FloatArray, FloatArray, FloatArray],
        rebound: tuple[FloatArray, FloatArray, FloatArray],
        friction: FloatArray,
        half_step_per_mass: FloatArray,
    ) -> "DamperStep":
        """Return the step for damping given as (low slope, high slope, knee) each way.

        `compression`: N s/m, N s/m and m/s.
        `rebound`: N s/m, N s/m and m/s.
        `friction`: N.
        `half_step_per_mass`: half the time step over the reduced mass (s/kg).
        """
        hold = friction / HOLDING_SPEED

        def side(
            low: FloatArray, high: FloatArray, knee: FloatArray
        ) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray, FloatArray]:
            stuck = 1.0 / (1.0 + half_step_per_mass * (low + hold))
            slow = 1.0 / (1.0 + half_step_per_mass * low)
            fast = 1.0 / (1.0 + half_step_per_mass * high)
            breakaway = HOLDING_SPEED / stuck
            opens = breakaway + (knee - HOLDING_SPEED) / slow
            return stuck, breakaway, slow - stuck, opens, fast - slow

        stuck_c, break_c, slide_c, knee_c, open_c = side(*compression)
        stuck_r, break_r, slide_r, knee_r, open_r = side(*rebound)
        return DamperStep(
            base=stuck_r,
            sign=np.array([1.0, 1.0, 1.0, -1.0, -1.0])[:, None],
            at=np.array([np.zeros_like(hold), break_c, knee_c, break_r, knee_r]),
            weight=np.array([stuck_c - stuck_r, slide_c, open_c, -slide_r, -open_r]),
        )

    def mid_speed(self, free: FloatArray) -> FloatArray:
        """Return the mid-step speed (m/s), given the one (m/s) without damper and friction."""
        hinged = self.sign * free
        hinged -= self.at
        np.maximum(hinged, 0.0, out=hinged)
        hinged *= self.weight
        speed: FloatArray = hinged.sum(axis=0)
        speed += self.base * free
        return speed
