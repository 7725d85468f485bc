"""Two-mass frequencies against a printed example."""

import pytest

from diagnose.physics.damping.two_mass import TwoMass, natural_frequencies


def test_printed_saloon_example() -> None:
    """317.5 and 45.4 kg on 22 and 192 kN/m: 1.25 and 10.9 Hz.

    Source: D. C. Barton and J. D. Fieldhouse, "Automotive Chassis Engineering", Springer, 2018,
    section 3.13, p. 209 (page seen; authors and year from memory).
    """
    body, hop = natural_frequencies(TwoMass(317.5, 45.4, 22e3, 0.0, 192e3))
    assert body == pytest.approx(1.25, abs=0.005)
    assert hop == pytest.approx(10.9, abs=0.05)
