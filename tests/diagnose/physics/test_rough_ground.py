"""Random ground has the density its class asks for."""

import numpy as np
import pytest

from diagnose.physics.errors import PhysicsError
from diagnose.physics.ride.rough_ground import RoadClass, fade_in, road_density, rolling_ground


def test_measured_density_is_the_class_density() -> None:
    """Averaged over many grounds, the spectrum between 0.2 and 1 cycles/m is the law's.

    A wheel of 2 cm radius is used, so that rolling over hardly changes the profile.
    """
    speed, step, count = 5.0, 0.002, 40
    total: np.ndarray | float = 0.0
    for seed in range(count):
        ground = rolling_ground(
            "b",
            0.02,
            np.random.default_rng(seed),
            road_class=RoadClass.B,
            speed=speed,
            duration=8.0,
        )
        heights = ground.road[1_000:]
        window = np.hanning(heights.size)
        spectrum = np.fft.rfft((heights - heights.mean()) * window)
        spacing = speed * step
        total = total + 2.0 * spacing * np.abs(spectrum) ** 2 / np.sum(window**2)
    frequency = np.arange(heights.size // 2 + 1) / (heights.size * spacing)
    band = (frequency > 0.2) & (frequency < 1.0)
    found = np.asarray(total)[band] / count
    ratio = np.exp(np.mean(np.log(found / road_density(RoadClass.B, frequency[band]))))
    assert ratio == pytest.approx(1.0, abs=0.15)


def test_each_class_is_four_times_the_one_below() -> None:
    """Density doubles its amplitude per class."""
    at = np.array([0.1])
    sizes = [float(road_density(name, at)[0]) for name in RoadClass]
    assert np.allclose(np.array(sizes[1:]) / sizes[:-1], 4.0)


def test_density_falls_with_the_square() -> None:
    """Twice the frequency, a quarter of the density."""
    one, two = road_density(RoadClass.C, np.array([0.5, 1.0]))
    assert one == pytest.approx(4.0 * two)


def test_rougher_class_is_rougher_ground() -> None:
    """Same seed, one class up: twice the height."""
    smooth, rough = (
        rolling_ground("g", 0.02, np.random.default_rng(1), road_class=c, speed=9.0, duration=2.0)
        for c in (RoadClass.B, RoadClass.C)
    )
    assert np.std(rough.road) == pytest.approx(2.0 * np.std(smooth.road), rel=0.05)


def test_fade_goes_from_nothing_to_all() -> None:
    """And stays there."""
    share = fade_in(np.array([0.0, 1.0, 2.0, 3.0, 9.0]), 1.0, 2.0)
    assert share == pytest.approx([0.0, 0.0, 0.5, 1.0, 1.0])


def test_no_density_at_no_frequency() -> None:
    """The law has no value at zero."""
    with pytest.raises(PhysicsError, match="above 0 cycles/m"):
        road_density(RoadClass.A, np.array([0.0, 1.0]))
