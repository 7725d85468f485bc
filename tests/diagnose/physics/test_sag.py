"""Sag from lengths."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.physics.errors import PhysicsError
from diagnose.physics.springs.sag import averaged_sag, friction_band, sag_readings


def test_three_lengths_give_static_and_race_sag() -> None:
    """600, 570 and 500 mm on 300 mm of travel."""
    sag = sag_readings(0.600, 0.570, 0.500, 0.300)
    assert sag.static == pytest.approx(0.030)
    assert sag.race == pytest.approx(0.100)
    assert sag.static_percent == pytest.approx(10.0)
    assert sag.race_percent == pytest.approx(100.0 / 3.0)


@pytest.mark.parametrize(
    ("lengths", "said"),
    [
        ((-0.600, 0.570, 0.500, 0.300), "extended length"),
        ((0.600, 0.610, 0.500, 0.300), "unladen length is 0.61 m, longer"),
        ((0.600, 0.570, 0.580, 0.300), "laden length is 0.58 m, longer"),
        ((0.600, 0.570, 0.250, 0.300), "beyond the travel of 0.3 m"),
        ((0.600, 0.570, 0.500, 0.0), "travel"),
    ],
)
def test_lengths_that_cannot_be_are_refused(lengths: tuple[float, ...], said: str) -> None:
    """Swapped lengths and sag beyond the travel say what is wrong."""
    with pytest.raises(PhysicsError, match=said):
        sag_readings(*lengths)


@given(st.floats(0.02, 0.20), st.floats(0.0, 0.03))
def test_averaging_takes_friction_out(true_sag: float, half_band: float) -> None:
    """Equal and opposite friction errors leave the true sag and show the band."""
    half_band = min(half_band, true_sag)
    push, lift = 0.7 - true_sag - half_band, 0.7 - true_sag + half_band
    found = averaged_sag(0.7, push, lift, 0.30)
    assert found.sag == pytest.approx(true_sag)
    assert found.band == pytest.approx(2.0 * half_band, abs=1e-12)


def test_swapped_push_and_lift_is_said() -> None:
    """A lifted bike rests higher, never lower."""
    with pytest.raises(PhysicsError, match="swapped"):
        averaged_sag(0.7, 0.62, 0.60, 0.3)


def test_averaged_sag_outside_the_travel_is_refused() -> None:
    """Neither negative nor beyond the travel."""
    with pytest.raises(PhysicsError, match="between 0 and the travel"):
        averaged_sag(0.7, 0.70, 0.72, 0.3)
    with pytest.raises(PhysicsError, match="between 0 and the travel"):
        averaged_sag(0.7, 0.35, 0.37, 0.3)


@given(st.floats(0.0, 0.05), st.floats(5e3, 20e3))
def test_friction_holds_the_spring_at_both_ends_of_the_band(band: float, rate: float) -> None:
    """At either end of the band the spring's pull just equals the friction."""
    assert friction_band(band, rate).force == pytest.approx(rate * (band / 2.0))


def test_negative_band_is_refused() -> None:
    """A band is a distance."""
    with pytest.raises(PhysicsError, match="friction band"):
        friction_band(-0.001, 9e3)
