"""Damping ratio from a bounce."""

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from diagnose.physics.damping.decrement import (
    damping_ratio,
    friction_loss_per_swing,
    from_heights,
    from_swing_count,
    log_decrement,
)
from diagnose.physics.errors import PhysicsError


def free_swing(ratio: float, swings: int) -> list[float]:
    """Peaks of a damped oscillator, straight from its exact solution."""
    fade = ratio / math.sqrt(1.0 - ratio**2) * 2.0 * math.pi
    return [0.1 * math.exp(-fade * n) for n in range(swings + 1)]


@given(st.floats(0.01, 0.6), st.integers(1, 4))
def test_the_ratio_of_a_made_swing_is_found_again(ratio: float, swings: int) -> None:
    """Peaks of the exact solution give the ratio they were made with."""
    assert from_heights(free_swing(ratio, swings)).ratio == pytest.approx(ratio)


@given(st.floats(0.02, 0.4), st.integers(1, 3), st.floats(-0.002, 0.002))
def test_a_misread_last_peak_stays_in_the_band(ratio: float, swings: int, slip: float) -> None:
    """A reading wrong by up to the stated error keeps the truth inside the band."""
    peaks = free_swing(ratio, swings)
    misread = [*peaks[:-1], min(peaks[-1] + slip, peaks[-2])]
    assume(misread[-1] > 0.0025)
    reading = from_heights(misread, reading_error=0.002)
    assert reading.low - 1e-9 <= ratio <= reading.high + 1e-9


@given(st.floats(0.5, 8.0))
def test_more_swings_mean_less_damping(swings: float) -> None:
    """And the band holds the middle."""
    some, more = from_swing_count(swings), from_swing_count(swings + 1.0)
    assert more.ratio < some.ratio
    assert some.low < some.ratio < some.high


def test_a_sound_end_comes_back_once_and_stops() -> None:
    """Back up and settled within one swing is a third or more of critical."""
    assert 0.3 < from_swing_count(1.0).ratio < 0.4


def test_no_fade_is_no_damping() -> None:
    """Equal peaks."""
    assert damping_ratio(log_decrement(0.1, 0.1, 1.0)) == 0.0


def test_friction_alone_brings_the_swing_down_in_straight_steps() -> None:
    """Work-energy: half k (x1² - x2²) is the friction over the whole way."""
    friction, rate, start = 50.0, 10_000.0, 0.1
    loss = friction_loss_per_swing(friction, rate)
    half = start - loss / 2.0
    assert 0.5 * rate * (start**2 - half**2) == pytest.approx(friction * (start + half))


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: from_heights([0.1]), "two or more"),
        (lambda: from_heights([0.1, 0.12]), "only die away"),
        (lambda: from_heights([0.1, -0.05]), "later peak"),
        (lambda: from_heights([0.1, 0.05], -0.001), "reading error"),
        (lambda: from_swing_count(0.0), "number of swings"),
        (lambda: from_swing_count(1.0, 1.0), "visible fraction"),
        (lambda: damping_ratio(-0.1), "decrement"),
        (lambda: friction_loss_per_swing(-1.0, 9e3), "friction"),
    ],
)
def test_impossible_bounces_are_refused(call: object, said: str) -> None:
    """Each message names its value."""
    assert callable(call)
    with pytest.raises(PhysicsError, match=said):
        call()
