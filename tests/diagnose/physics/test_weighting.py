"""The weightings as filters; the printed tables are in tests/published."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.physics.errors import PhysicsError
from diagnose.physics.ride.weighting import WH, WK, Weighting, fast_length, response, weighted


@pytest.mark.parametrize("curve", [WK, WH])
@pytest.mark.parametrize("frequency", [2.0, 8.0, 16.0, 40.0])
def test_a_long_sine_comes_out_at_its_weight(curve: Weighting, frequency: float) -> None:
    """Filtering in time gives the gain the response promises."""
    step = 0.001
    time = np.arange(8_000) * step
    felt = weighted(np.sin(2.0 * np.pi * frequency * time), step, curve)
    middle = felt[4_000:7_000]
    gain = float(np.sqrt(2.0 * np.mean(middle**2)))
    expected = float(np.abs(response(curve, np.array([frequency])))[0])
    assert gain == pytest.approx(expected, rel=0.01)


@pytest.mark.parametrize("curve", [WK, WH])
@pytest.mark.parametrize("when", [500, 990])
def test_nothing_is_felt_before_it_happens(curve: Weighting, when: int) -> None:
    """The filter is causal, and the tail of a late blow does not run round to the start."""
    blow = np.zeros(1_000)
    blow[when - 10 : when] = 100.0 * np.sin(np.linspace(0.0, np.pi, 10)) ** 2
    felt = weighted(blow, 0.002, curve)
    assert np.abs(felt[: when - 30]).max() < 0.005 * np.abs(felt).max()


def test_rows_are_weighted_each_on_its_own() -> None:
    """A stack of records gives each record's own answer."""
    rng = np.random.default_rng(5)
    stack = rng.standard_normal((3, 400))
    together = weighted(stack, 0.002, WK)
    for row in range(3):
        assert together[row] == pytest.approx(weighted(stack[row], 0.002, WK))


def test_steady_push_is_not_felt() -> None:
    """No response at 0 Hz."""
    assert response(WK, np.array([0.0]))[0] == 0.0
    assert response(WH, np.array([0.0]))[0] == 0.0


def test_hands_and_body_feel_different_things() -> None:
    """The body most at 4 to 8 Hz, the hands most at 8 to 16 Hz."""
    frequency = np.arange(1.0, 80.0, 0.1)
    body, hands = (np.abs(response(curve, frequency)) for curve in (WK, WH))
    assert 4.0 < frequency[np.argmax(body)] < 8.0
    assert 8.0 < frequency[np.argmax(hands)] < 16.0


@given(st.integers(1, 20_000))
def testfast_length_is_long_enough_and_smooth(least: int) -> None:
    """At least as long as asked, under twice, with no prime factor above 5."""
    length = fast_length(least)
    assert least <= length < 2 * least or length == least == 1
    for prime in (2, 3, 5):
        while length % prime == 0:
            length //= prime
    assert length == 1


def test_impossible_records_are_refused() -> None:
    """Each message names its value."""
    with pytest.raises(PhysicsError, match="frequency is negative"):
        response(WK, np.array([-1.0]))
    with pytest.raises(PhysicsError, match="0 steps"):
        weighted(np.zeros((3, 0)), 0.002, WK)
    with pytest.raises(PhysicsError, match="time step"):
        weighted(np.zeros(5), 0.0, WK)
