"""Spring choice and preload."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.physics.atmosphere import STANDARD_GRAVITY
from diagnose.physics.errors import PhysicsError
from diagnose.physics.springs.sag import SagReadings
from diagnose.physics.springs.spring_choice import (
    SagWindow,
    SpringStep,
    advise_spring,
    preload_change_for_sag,
    preload_from_static_sag,
    preload_turns,
    static_sag_at_race_sag,
    wheel_rate,
    wheel_rate_from_rider,
)

WINDOW = SagWindow(race_low=0.095, race_high=0.105, static_low=0.025, static_high=0.040)


def readings(static: float, race: float) -> SagReadings:
    """Readings on 300 mm of travel."""
    return SagReadings(static=static, race=race, travel=0.300)


@given(st.floats(6e3, 12e3), st.floats(6e3, 12e3), st.floats(30.0, 70.0))
def test_at_one_race_sag_a_stiffer_spring_stands_deeper_under_the_bike(
    one: float, other: float, rider: float
) -> None:
    """The direction the whole module rests on."""
    soft, stiff = sorted((one, other))
    assert static_sag_at_race_sag(stiff, rider, 0.1) >= static_sag_at_race_sag(soft, rider, 0.1)


def test_low_static_sag_at_correct_race_sag_asks_for_a_stiffer_spring() -> None:
    """Too soft, wound down hard."""
    advice = advise_spring(readings(0.010, 0.100), WINDOW, 58.0)
    assert advice.step is SpringStep.STIFFER
    assert advice.rate_change > 0.0
    assert "too soft" in advice.reason


def test_high_static_sag_at_correct_race_sag_asks_for_a_softer_spring() -> None:
    """Too stiff, hardly any preload."""
    advice = advise_spring(readings(0.050, 0.100), WINDOW, 58.0)
    assert advice.step is SpringStep.SOFTER
    assert advice.rate_change < 0.0
    assert "too stiff" in advice.reason


def test_race_sag_comes_first() -> None:
    """Static sag says nothing while race sag is off."""
    advice = advise_spring(readings(0.010, 0.120), WINDOW, 58.0)
    assert advice.step is SpringStep.SET_RACE_SAG_FIRST
    assert advice.rate_change == 0.0
    assert "120 mm" in advice.reason


def test_inside_both_windows_the_spring_stays() -> None:
    """Nothing to buy."""
    assert advise_spring(readings(0.030, 0.100), WINDOW, 58.0).step is SpringStep.KEEP


@given(st.floats(0.002, 0.024), st.floats(40.0, 70.0))
def test_the_advised_change_lands_on_the_window(static: float, rider: float) -> None:
    """With the advised rate, static sag at the same race sag is the near edge."""
    sag = readings(static, 0.100)
    rate = wheel_rate_from_rider(rider, sag) + advise_spring(sag, WINDOW, rider).rate_change
    assert static_sag_at_race_sag(rate, rider, 0.100) == pytest.approx(WINDOW.static_low)


@given(st.floats(40e3, 70e3), st.floats(2.0, 3.0), st.floats(30.0, 60.0), st.floats(30.0, 60.0))
def test_sag_readings_give_back_rate_and_preload(
    spring: float, ratio: float, bike: float, rider: float
) -> None:
    """A linear spring made to order is found again from its two sags."""
    rate, preload = wheel_rate(spring, ratio), 0.002
    static = bike * STANDARD_GRAVITY / rate - preload * ratio
    race = (bike + rider) * STANDARD_GRAVITY / rate - preload * ratio
    assert wheel_rate_from_rider(rider, readings(static, race)) == pytest.approx(rate)
    assert preload_from_static_sag(bike, static, spring, ratio) == pytest.approx(preload)


def test_less_sag_takes_preload_on() -> None:
    """10 mm less sag behind a ratio of 2.5 is 4 mm of preload, 2.7 turns of 1.5 mm."""
    change = preload_change_for_sag(-0.010, 2.5)
    assert change == pytest.approx(0.004)
    assert preload_turns(change) == pytest.approx(4.0 / 1.5)


def test_impossible_springs_are_refused() -> None:
    """Each message names its value."""
    with pytest.raises(PhysicsError, match="must add sag"):
        wheel_rate_from_rider(60.0, readings(0.1, 0.1))
    with pytest.raises(PhysicsError, match="window runs"):
        SagWindow(0.105, 0.095, 0.02, 0.03)
    with pytest.raises(PhysicsError, match="static sag"):
        SagWindow(0.09, 0.1, -0.02, 0.03)
    with pytest.raises(PhysicsError, match="not below the race sag"):
        advise_spring(readings(0.01, 0.1), SagWindow(0.09, 0.11, 0.1, 0.1), 58.0)
    with pytest.raises(PhysicsError, match="motion ratio"):
        wheel_rate(50e3, 0.0)
    with pytest.raises(PhysicsError, match="preload per turn"):
        preload_turns(0.004, 0.0)
    with pytest.raises(PhysicsError, match="preload change"):
        preload_turns(float("nan"))


RATIO = 317.0 / 126.0
"""Wheel travel (assumed) over a shock stroke of 126 mm: Yamaha WR450F 2016 p. 2-9 (seen)."""


@pytest.mark.parametrize(
    ("newton_per_millimetre", "millimetre"), [(48, 25.0), (52, 30.8), (56, 35.7), (60, 40.0)]
)
def test_static_sag_rises_with_the_spring_at_one_race_sag(
    newton_per_millimetre: float, millimetre: float
) -> None:
    """Source: computed by hand: 58 kg of rider on the rear, race sag held at 100 mm."""
    rate = wheel_rate(newton_per_millimetre * 1e3, RATIO)
    assert static_sag_at_race_sag(rate, 58.0, 0.100) * 1e3 == pytest.approx(millimetre, abs=0.15)
