"""The damping curve, its adjusters, and the implicit step that solves it."""

import math
from dataclasses import fields, replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.harshness.stand_in import stand_in
from diagnose.physics.damping.damping_curve import Adjusters, DampingCurve
from diagnose.physics.errors import PhysicsError
from diagnose.physics.ride.damper_step import DamperStep

CURVE = DampingCurve(0.0115, 280.0, 330.0, 0.011, 220.0, 600.0)
speeds = st.floats(-4.0, 4.0)


def test_below_the_opening_force_all_goes_through_the_bleed() -> None:
    """v = b √F: 0.115 m/s at 100 N."""
    assert CURVE.force(0.115) == pytest.approx(100.0)
    assert CURVE.force(-0.11) == pytest.approx(-100.0)


def test_above_it_the_shims_take_the_rest() -> None:
    """v = b √F + (F - F0) / c, put in backwards at 610 N: 0.284 + 1.0 m/s."""
    assert CURVE.force(0.0115 * math.sqrt(610.0) + 1.0) == pytest.approx(610.0)


@pytest.mark.parametrize(
    ("speed", "standard", "shut"),
    [(0.02, 3, 134), (0.1, 76, 303), (0.4, 342, 401), (1.0, 523, 596), (4.0, 1455, 1577)],
)
def test_a_shut_needle_is_felt_slow_and_hardly_fast(
    speed: float, standard: float, shut: float
) -> None:
    """Four times at 0.1 m/s, 17 % at 0.4, 8 % at 4; worked out by hand from the same law."""
    closed = Adjusters().apply(CURVE, 0.0, 1.75, 12.0)
    assert CURVE.force(speed) == pytest.approx(standard, abs=0.6)
    assert closed.force(speed) == pytest.approx(shut, abs=0.6)


@given(speeds, speeds)
def test_faster_never_damps_less(one: float, other: float) -> None:
    """Monotone through zero and both openings."""
    low, high = sorted((one, other))
    assert CURVE.force(low) <= CURVE.force(high) + 1e-9


@given(speeds)
def test_damping_only_takes_energy(speed: float) -> None:
    """Force is never against its own speed."""
    assert CURVE.force(speed) * speed >= 0.0


def test_one_slope_is_a_straight_line() -> None:
    """No bleed, no preload."""
    straight = DampingCurve.straight(800.0)
    assert [straight.force(v) for v in (-1.0, 0.0, 0.5)] == pytest.approx([-800.0, 0.0, 400.0])


def test_standard_positions_leave_the_curve_alone() -> None:
    """The curve is given at the standard positions."""
    assert Adjusters().apply(CURVE, 10.0, 1.75, 12.0) == CURVE


def test_each_adjuster_moves_its_own_part() -> None:
    """Out is softer, and the other parts stay."""
    steps = Adjusters()
    low = steps.apply(CURVE, 14.0, 1.75, 12.0)
    assert low == replace(CURVE, compression_bleed=low.compression_bleed)
    assert low.compression_bleed > CURVE.compression_bleed
    high = steps.apply(CURVE, 10.0, 2.75, 12.0)
    assert high == replace(CURVE, compression_opens=high.compression_opens)
    assert high.compression_opens < CURVE.compression_opens
    rebound = steps.apply(CURVE, 10.0, 1.75, 16.0)
    assert rebound == replace(CURVE, rebound_bleed=rebound.rebound_bleed)
    assert rebound.rebound_bleed > CURVE.rebound_bleed


@given(speeds, st.floats(0.0, 24.0))
def test_the_implicit_step_solves_the_curve_exactly(free: float, clicks: float) -> None:
    """Speed left plus what the force takes from it is the speed there was."""
    curve = Adjusters().apply(CURVE, clicks, 1.75, clicks)
    half_step = np.array([1e-4])
    bleed, opens, slope, back, back_opens, back_slope = (
        np.array([getattr(curve, item.name)]) for item in fields(curve)
    )
    step = DamperStep.of((bleed, opens, slope), (back, back_opens, back_slope), half_step)
    force = float(step.force(np.array([free]))[0])
    assert force == pytest.approx(curve.force(free - 1e-4 * force), rel=1e-6, abs=1e-5)


@pytest.mark.parametrize("speed", [0.1, 0.5])
def test_the_stand_in_is_damped_as_a_bike_is(speed: float) -> None:
    """Between a quarter and six tenths of critical, compression and rebound together."""
    bike = stand_in()
    for end in (bike.front, bike.rear):
        curve = end.axle.damping
        mean = (curve.force(speed) - curve.force(-speed)) / (2.0 * speed)
        critical = 2.0 * math.sqrt(end.spring_rate * end.axle.sprung_mass)
        assert 0.25 < mean / critical < 0.6


def test_impossible_curves_and_adjusters_are_refused() -> None:
    """Each message names its value."""
    with pytest.raises(PhysicsError, match="compression bleed"):
        replace(CURVE, compression_bleed=-1.0)
    with pytest.raises(PhysicsError, match="rebound slope"):
        replace(CURVE, rebound_slope=0.0)
    with pytest.raises(PhysicsError, match="needle shut"):
        Adjusters(shut_share=0.0)
    with pytest.raises(PhysicsError, match="clicks"):
        Adjusters().apply(CURVE, 10.0, 1.75, float("inf"))
