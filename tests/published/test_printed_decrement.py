"""Logarithmic decrement against a textbook example."""

import math

import pytest

from diagnose.physics.damping.decrement import damping_ratio, from_heights, log_decrement
from diagnose.physics.damping.two_mass import damping_for_ratio


def test_the_motorcycle_shock_absorber_example() -> None:
    """200 kg, damped period 2 s, a quarter of the height left after half a swing.

    Printed: δ = 2.7726, ζ = 0.4037, ω = 3.4338 rad/s, k = 2358.2652 N/m, critical damping
    1373.54 N s/m, c = 554.4981 N s/m. Source: "Shock Absorber for a Motorcycle", example
    2.14 of S. S. Rao, "Mechanical Vibrations" (seen as reproduced in a public question; author
    and title from memory, edition and page not seen).
    """
    decrement = log_decrement(4.0, 1.0, 0.5)
    ratio = damping_ratio(decrement)
    assert decrement == pytest.approx(2.7726, abs=5e-5)
    assert ratio == pytest.approx(0.4037, abs=5e-5)
    frequency = math.pi / math.sqrt(1.0 - ratio**2)
    assert frequency == pytest.approx(3.4338, abs=5e-4)
    stiffness = 200.0 * frequency**2
    assert stiffness == pytest.approx(2_358.2652, rel=3e-4)
    assert damping_for_ratio(1.0, 200.0, stiffness) == pytest.approx(1_373.54, rel=3e-4)
    assert damping_for_ratio(ratio, 200.0, stiffness) == pytest.approx(554.4981, rel=3e-4)


def test_the_same_example_read_as_heights() -> None:
    """A quarter after half a swing is a sixteenth after a whole one."""
    assert from_heights([0.160, 0.010]).ratio == pytest.approx(0.4037, abs=5e-5)
