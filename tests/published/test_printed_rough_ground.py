"""ISO 8608 classes against published generators."""

import math

import numpy as np
import pytest

from diagnose.physics.ride.rough_ground import ISO_8608_DENSITY, RoadClass, road_density


def test_class_values_are_the_means_of_the_class_limits() -> None:
    """A class's value is the geometric mean of its limits.

    Limits 32, 128, 512, 2048, 8192, 32768 x 1e-6 m³ are in a public program after
    Agostinacchio, Ciampa, Olita, "The vibrations induced by surface irregularities in road
    pavements - a Matlab approach", European Transport Research Review 6(3), 2014, p. 267
    (program seen, article not opened).
    """
    upper = [32e-6, 128e-6, 512e-6, 2_048e-6, 8_192e-6, 32_768e-6]
    for name, low, high in zip(list(RoadClass)[1:], upper, upper[1:], strict=False):
        assert ISO_8608_DENSITY[name] == pytest.approx(math.sqrt(low * high))


@pytest.mark.parametrize(("k", "below", "above"), [(3, "A", "B"), (4, "B", "C"), (5, "C", "D")])
def test_the_published_amplitude_formula_runs_along_a_class_limit(
    k: int, below: str, above: str
) -> None:
    """Amplitude √Δn 2^k 1e-3 n0 / n, as in the same article's generator (program seen), is the
    density half way, by ratio, between two classes of this module.
    """
    frequency, band = np.array([0.1, 0.5, 2.0]), 0.004
    amplitude = math.sqrt(band) * 2**k * 1e-3 * 0.1 / frequency
    density = amplitude**2 / (2.0 * band)
    limit = np.sqrt(
        road_density(RoadClass(below), frequency) * road_density(RoadClass(above), frequency)
    )
    assert density == pytest.approx(limit)
