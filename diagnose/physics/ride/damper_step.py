"""One implicit step of a damper whose bleed stands beside preloaded shims, solved exactly.

The implicit mid-point equation for v = b √F + max(0, F - F0) / c is a quadratic in √F either side
of the opening force, so a step needs no iteration and no damping makes it unstable.

Source: implicit mid-point rule; the closed form is computed.
"""

from dataclasses import dataclass

import numpy as np

from diagnose.physics.arrays import FloatArray

__all__ = ["DamperStep"]


@dataclass(frozen=True, slots=True)
class DamperStep:
    """The quadratic of each lane, both ways.

    `half_step`: half the time step over the reduced mass (s/kg).
    `bleed`: m/s per √N, compression and rebound.
    `opens_at`: speed (m/s) without the damper at which the shims open.
    `slack`: half_step plus what the open shims let through per newton.
    `offset`: speed (m/s) that the preload of the shims stands for.
    """

    half_step: FloatArray
    bleed: tuple[FloatArray, FloatArray]
    opens_at: tuple[FloatArray, FloatArray]
    slack: tuple[FloatArray, FloatArray]
    offset: tuple[FloatArray, FloatArray]

    @staticmethod
    def of(
        compression: tuple[FloatArray, FloatArray, FloatArray],
        rebound: tuple[FloatArray, FloatArray, FloatArray],
        half_step: FloatArray,
    ) -> "DamperStep":
        """Return the step for damping given as (bleed, opening force, slope) each way."""
        sides = (compression, rebound)
        return DamperStep(
            half_step,
            bleed=(compression[0], rebound[0]),
            opens_at=_both([half_step * f + b * np.sqrt(f) for b, f, _ in sides]),
            slack=_both([half_step + 1.0 / c for _, _, c in sides]),
            offset=_both([f / c for _, f, c in sides]),
        )

    def force(self, free: FloatArray) -> FloatArray:
        """Return the damping force (N) at mid-step, compression positive.

        `free`: the mid-step speed (m/s) there would be without the damper.
        """
        into = free >= 0.0
        speed = np.abs(free)
        bleed = np.where(into, *self.bleed)
        is_open = speed > np.where(into, *self.opens_at)
        speed += np.where(into, *self.offset) * is_open
        slack = np.where(is_open, np.where(into, *self.slack), self.half_step)
        # 2 v / (b + √(b² + 4 k v)) loses nothing where b is large
        root = np.sqrt(bleed * bleed + 4.0 * slack * speed)
        root += bleed
        half: FloatArray = 2.0 * speed / np.maximum(root, 1e-12)
        half *= half
        return np.copysign(half, free)


def _both(pair: list[FloatArray]) -> tuple[FloatArray, FloatArray]:
    compression, rebound = pair
    return compression, rebound
