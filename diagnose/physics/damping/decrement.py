"""Damping ratio from a bounce test, by logarithmic decrement.

Source: logarithmic decrement δ = ln(x1 / x2), ζ = δ / √(4π² + δ²), in every vibration text.
Friction makes a bounce die out sooner than the oil alone would, so a ratio read this way is
an upper limit for the damper itself (see :func:`friction_loss_per_swing`).
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from diagnose.physics.errors import PhysicsError, not_negative, positive

__all__ = [
    "VISIBLE_FRACTION",
    "DampingReading",
    "damping_ratio",
    "friction_loss_per_swing",
    "from_heights",
    "from_swing_count",
    "log_decrement",
]

VISIBLE_FRACTION = 0.1
"""The part of the first swing below which an eye no longer counts a swing. From memory."""


@dataclass(frozen=True, slots=True)
class DampingReading:
    """A damping ratio and the range the reading allows, all without unit."""

    ratio: float
    low: float
    high: float


def log_decrement(first: float, later: float, swings: float) -> float:
    """Return the logarithmic decrement of two peaks `swings` whole swings apart.

    `first`: height (m) of the earlier peak above rest.
    `later`: height (m) of the later peak on the same side.
    `swings`: whole swings between them; half swings count 0.5, peaks taken as sizes.

    Raises `PhysicsError` if a height or the count is not above zero, or the later peak is higher.

    Source: δ = ln(x1 / x2) / n.
    """
    positive("first peak", first, "m")
    positive("later peak", later, "m")
    positive("number of swings", swings, "swings")
    if later > first:
        raise PhysicsError(
            f"later peak {later:g} m is higher than the first {first:g} m; "
            "a free bounce can only die away"
        )
    return math.log(first / later) / swings


def damping_ratio(decrement: float) -> float:
    """Return the damping ratio behind a logarithmic `decrement`.

    Raises `PhysicsError` if the decrement is negative.

    Source: ζ = δ / √(4π² + δ²).
    """
    not_negative("logarithmic decrement", decrement, "(no unit)")
    return decrement / math.hypot(2.0 * math.pi, decrement)


def from_heights(peaks: Sequence[float], reading_error: float = 0.002) -> DampingReading:
    """Return the damping ratio from the heights (m) of successive peaks on the same side.

    `peaks`: two or more heights (m) above rest, one whole swing apart.
    `reading_error`: how far (m) a height may be misread; 2 mm is from memory.

    Raises `PhysicsError` for fewer than two peaks, a peak not above zero, peaks that grow, or a
    negative reading error.

    Source: first against last peak; the band moves each by the reading error.
    """
    if len(peaks) < 2:
        raise PhysicsError(f"{len(peaks)} peak given; two or more are needed")
    for earlier, later in pairwise(peaks):
        log_decrement(earlier, later, 1.0)
    not_negative("reading error", reading_error, "m")
    first, last, swings = peaks[0], peaks[-1], float(len(peaks) - 1)
    middle = damping_ratio(log_decrement(first, last, swings))
    calm = max(first - reading_error, last + reading_error)
    low = damping_ratio(log_decrement(calm, last + reading_error, swings))
    floor = max(last - reading_error, 0.1 * last)
    high = damping_ratio(log_decrement(first + reading_error, floor, swings))
    return DampingReading(middle, low, high)


def from_swing_count(swings: float, visible_fraction: float = VISIBLE_FRACTION) -> DampingReading:
    """Return the damping ratio from how many swings could be counted after one push.

    `swings`: whole swings seen before it stood still; 0.5 is "back up and stop".
    `visible_fraction`: the part of the first swing that is still seen.

    The count may be half a swing off either way, which is the band.

    Raises `PhysicsError` if the count is not above zero, or the fraction is not between 0 and 1.

    Source: computed: the decrement that brings the swing down to the visible fraction.
    """
    positive("number of swings", swings, "swings")
    if not 0.0 < visible_fraction < 1.0:
        raise PhysicsError(f"visible fraction is {visible_fraction:g}; it must be between 0 and 1")
    fade = -math.log(visible_fraction)
    return DampingReading(
        ratio=damping_ratio(fade / swings),
        low=damping_ratio(fade / (swings + 0.5)),
        high=damping_ratio(fade / max(swings - 0.5, 0.25)),
    )


def friction_loss_per_swing(friction: float, wheel_rate: float) -> float:
    """Return how much height (m) dry friction alone takes off each whole swing.

    `friction`: friction force (N) at the wheel.
    `wheel_rate`: spring rate (N/m) at the wheel.

    Raises `PhysicsError` for negative friction or a rate not above zero.

    Source: 4 F / k per swing for Coulomb friction, in every vibration text.
    """
    not_negative("friction", friction, "N")
    positive("wheel rate", wheel_rate, "N/m")
    return 4.0 * friction / wheel_rate
