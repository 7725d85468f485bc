"""Two-mass frequencies against a printed example and a teaching model."""

import pytest

from diagnose.physics.damping.two_mass import TwoMass, damping_for_ratio, natural_frequencies


def test_printed_saloon_example() -> None:
    """317.5 and 45.4 kg on 22 and 192 kN/m: 1.25 and 10.9 Hz.

    Source: "Automotive Chassis Engineering", section 3.13, p. 209 (seen).
    """
    body, hop = natural_frequencies(TwoMass(317.5, 45.4, 22e3, 0.0, 192e3))
    assert body == pytest.approx(1.25, abs=0.005)
    assert hop == pytest.approx(10.9, abs=0.05)


@pytest.mark.parametrize(
    ("model", "body", "hop"),
    [
        (TwoMass(78.0, 15.0, 11_900.0, 0.0, 95e3), 1.85, 13.4),
        (TwoMass(100.0, 20.0, 8_900.0, 0.0, 105e3), 1.44, 12.0),
    ],
)
def test_off_road_estimate(model: TwoMass, body: float, hop: float) -> None:
    """Source: computed by hand from printed spring rates (Yamaha WR450F 2016 p. 2-9, seen)."""
    assert natural_frequencies(model) == pytest.approx((body, hop), abs=0.06)


def test_damping_for_the_usual_ratios() -> None:
    """Source: computed by hand, 2 ζ √(k m), front of the estimate above."""
    found = [damping_for_ratio(ratio, 78.0, 11_900.0) for ratio in (0.2, 0.3, 0.4, 0.5)]
    assert found == pytest.approx([385.0, 577.0, 769.0, 962.0], abs=2.0)
