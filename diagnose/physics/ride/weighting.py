"""How strongly a person feels vibration of each frequency.

Wk is for vertical vibration of a seated or standing body (ISO 2631-1), Wh for vibration of
the hands (ISO 5349-1). Both are given by the standards as products of simple filters; the
parameters here are those of ISO 8041's table 3.1, seen as printed in a published instrument
manual (named beside the check in `tests/published`).
"""

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from diagnose.physics.arrays import FloatArray
from diagnose.physics.errors import PhysicsError, positive

__all__ = ["WH", "WK", "Weighting", "response", "weighted"]


@dataclass(frozen=True, slots=True)
class Weighting:
    """Parameters of a frequency weighting; frequencies in Hz, infinity leaves a filter out.

    `f1`: high-pass corner.
    `f2`: low-pass corner.
    `f3`: start of the slide from acceleration to velocity.
    `f4`: its end.
    `q4`: its quality.
    `f5`: start of the upward step.
    `q5`: its quality.
    `f6`: end of the upward step.
    `q6`: its quality.
    """

    f1: float
    f2: float
    f3: float
    f4: float
    q4: float
    f5: float = math.inf
    q5: float = 1.0
    f6: float = math.inf
    q6: float = 1.0


_BUTTERWORTH = 1.0 / math.sqrt(2.0)

WK: Final = Weighting(
    f1=0.4, f2=100.0, f3=12.5, f4=12.5, q4=0.63, f5=2.37, q5=0.91, f6=3.35, q6=0.91
)
"""Vertical whole-body vibration. Source: ISO 2631-1 by way of ISO 8041."""

WH: Final = Weighting(
    f1=10.0**0.8, f2=10.0**3.1, f3=100.0 / (2.0 * math.pi), f4=100.0 / (2.0 * math.pi), q4=0.64
)
"""Hand-transmitted vibration. Source: ISO 5349-1 by way of ISO 8041."""


def response(weighting: Weighting, frequency: FloatArray) -> npt.NDArray[np.complex128]:
    """Return the complex response of `weighting` at each frequency (Hz), zero at 0 Hz.

    Raises `PhysicsError` for a negative frequency.

    Source: ISO 2631-1 annex A / ISO 5349-1 annex A: band limits of second-order Butterworth
    filters, an acceleration-velocity transition and, for Wk, an upward step.
    """
    if np.any(frequency < 0.0):
        raise PhysicsError("a frequency is negative; all must be 0 Hz or more")
    safe = np.where(frequency > 0.0, frequency, 1.0)
    s = 2j * np.pi * safe

    def omega(corner: float) -> float:
        return 2.0 * math.pi * corner

    w1, w2, w3, w4 = (omega(f) for f in (weighting.f1, weighting.f2, weighting.f3, weighting.f4))
    high = 1.0 / (1.0 + w1 / (_BUTTERWORTH * s) + (w1 / s) ** 2)
    low = 1.0 / (1.0 + s / (_BUTTERWORTH * w2) + (s / w2) ** 2)
    slide = (1.0 + s / w3) / (1.0 + s / (weighting.q4 * w4) + (s / w4) ** 2)
    result = high * low * slide
    if math.isfinite(weighting.f5):
        w5, w6 = omega(weighting.f5), omega(weighting.f6)
        step = (1.0 + s / (weighting.q5 * w5) + (s / w5) ** 2) * (w5 / w6) ** 2
        result = result * step / (1.0 + s / (weighting.q6 * w6) + (s / w6) ** 2)
    answer: npt.NDArray[np.complex128] = np.where(frequency > 0.0, result, 0.0)
    return answer


def weighted(acceleration: FloatArray, time_step: float, weighting: Weighting) -> FloatArray:
    """Return `acceleration` (m/s², time along the last axis) as a person feels it.

    The record is taken as silent before and after. As much silence as the filter rings for is
    added, so that its tail does not wrap round to the start.

    Raises `PhysicsError` if the step is not above zero or the record is empty.

    Source: filtering by multiplication in the frequency domain (computed).
    """
    positive("time step", time_step, "s")
    steps = acceleration.shape[-1]
    if steps == 0:
        raise PhysicsError("0 steps of acceleration given; one or more are needed")
    ringing = 4.0 / (2.0 * math.pi * weighting.f1 * _BUTTERWORTH)
    padded = fast_length(steps + math.ceil(ringing / time_step))
    spectrum = np.fft.rfft(acceleration, padded)
    spectrum *= response(weighting, np.arange(padded // 2 + 1) / (padded * time_step))
    felt: FloatArray = np.fft.irfft(spectrum, padded)[..., :steps]
    return felt


def fast_length(least: int) -> int:
    """Return the smallest 2^a 3^b 5^c that is `least` or more; such lengths transform fast."""
    best = 1 << (least - 1).bit_length()
    five = 1
    while five < best:
        three = five
        while three < best:
            twos = -(-least // three)
            best = min(best, three << (twos - 1).bit_length())
            three *= 3
        five *= 5
    return best
