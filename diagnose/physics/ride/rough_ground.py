"""Random ground of an ISO 8608 roughness class.

Source: ISO 8608. The class values are from memory; they agree with the class limits used by
published generators (checked in `tests/published`).
"""

from enum import StrEnum

import numpy as np

from diagnose.physics.arrays import FloatArray
from diagnose.physics.errors import PhysicsError
from diagnose.physics.ride.ground import TIME_STEP, Obstacle, WheelRun

__all__ = ["ISO_8608_DENSITY", "RoadClass", "fade_in", "road_density", "rolling_ground"]

REFERENCE_FREQUENCY = 0.1
"""cycles/m at which a class is given. Source: ISO 8608."""


class RoadClass(StrEnum):
    """Roughness classes of ISO 8608, smooth to rough."""

    A = "A"
    B = "B"
    C = "C"
    D = "D"
    E = "E"
    F = "F"


ISO_8608_DENSITY = {
    RoadClass.A: 16e-6,
    RoadClass.B: 64e-6,
    RoadClass.C: 256e-6,
    RoadClass.D: 1024e-6,
    RoadClass.E: 4096e-6,
    RoadClass.F: 16384e-6,
}
"""m³: geometric mean of the displacement density at the reference frequency."""


def fade_in(place: FloatArray, start: float, length: float) -> FloatArray:
    """Return a smooth 0 to 1 over `length` (m) from `start` (m) on.

    Source: cubic smooth step (computed).
    """
    share = np.clip((place - start) / length, 0.0, 1.0)
    smooth: FloatArray = share * share * (3.0 - 2.0 * share)
    return smooth


def road_density(road_class: RoadClass, spatial_frequency: FloatArray) -> FloatArray:
    """Return the displacement density (m³) at each spatial frequency (cycles/m).

    Raises `PhysicsError` for a frequency not above zero.

    Source: ISO 8608, G(n) = G(n0) (n / n0)⁻², from memory.
    """
    if np.any(spatial_frequency <= 0.0):
        raise PhysicsError("a spatial frequency is 0 or less; all must be above 0 cycles/m")
    ratio = spatial_frequency / REFERENCE_FREQUENCY
    density: FloatArray = ISO_8608_DENSITY[road_class] / ratio**2
    return density


def rolling_ground(
    name: str,
    wheel_radius: float,
    rng: np.random.Generator,
    *,
    road_class: RoadClass,
    speed: float,
    duration: float,
    time_step: float = TIME_STEP,
) -> Obstacle:
    """Return random ground of an ISO 8608 class, different for each generator state.

    Spatial frequencies run from one wave in the whole run (at least 0.05 cycles/m) to 4
    cycles/m.

    Raises `PhysicsError` for a size not above zero.

    Source: ISO 8608; a sum of waves with random phases, a usual way to make such ground.
    """
    ride = WheelRun(wheel_radius, speed, duration, time_step)
    place = ride.places()
    band = max(1.0 / (speed * duration), 0.05)
    frequency = np.arange(band, 4.0, band)
    amplitude = np.sqrt(2.0 * road_density(road_class, frequency) * band)
    phase = rng.uniform(0.0, 2.0 * np.pi, frequency.size)
    waves = np.cos(2.0 * np.pi * np.outer(frequency, place) + phase[:, None])
    return ride.over(name, (amplitude @ waves) * fade_in(place, wheel_radius, 2.0))
