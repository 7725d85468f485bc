"""The damping curve and its adjusters."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.physics.damping.damping_curve import Adjusters, DampingCurve
from diagnose.physics.errors import PhysicsError

CURVE = DampingCurve(800.0, 300.0, 1_100.0, 450.0, 0.4, 0.35)
speeds = st.floats(-4.0, 4.0)


def test_two_slopes_join_at_the_knee() -> None:
    """Low slope up to the knee, high slope from there on, either way."""
    assert CURVE.force(0.4) == pytest.approx(320.0)
    assert CURVE.force(1.4) == pytest.approx(620.0)
    assert CURVE.force(-0.35) == pytest.approx(-385.0)
    assert CURVE.force(-1.35) == pytest.approx(-835.0)


@given(speeds, speeds)
def test_faster_never_damps_less(one: float, other: float) -> None:
    """Monotone through zero and both knees."""
    low, high = sorted((one, other))
    assert CURVE.force(low) <= CURVE.force(high)


@given(speeds)
def test_damping_only_takes_energy(speed: float) -> None:
    """Force is never against its own speed."""
    assert CURVE.force(speed) * speed >= 0.0


def test_standard_positions_leave_the_curve_alone() -> None:
    """The curve is given at the standard positions."""
    assert Adjusters().apply(CURVE, 10.0, 1.75, 12.0) == CURVE


def test_each_adjuster_moves_its_own_part() -> None:
    """Out is softer, and the other parts stay."""
    steps = Adjusters()
    low = steps.apply(CURVE, 14.0, 1.75, 12.0)
    assert low == replace(CURVE, low_compression=low.low_compression)
    assert low.low_compression < CURVE.low_compression
    high = steps.apply(CURVE, 10.0, 2.75, 12.0)
    assert high == replace(CURVE, high_compression=high.high_compression)
    assert high.high_compression < CURVE.high_compression
    rebound = steps.apply(CURVE, 10.0, 1.75, 16.0)
    assert rebound.low_rebound < CURVE.low_rebound
    assert CURVE.high_rebound > rebound.high_rebound > CURVE.high_rebound * 0.8
    assert rebound.low_compression == CURVE.low_compression


@given(st.floats(0.0, 10.0), st.floats(0.0, 10.0))
def test_clicks_add_up(first: float, second: float) -> None:
    """Going out twice is going out once by the sum."""
    steps = Adjusters()
    twice = steps.apply(steps.apply(CURVE, 10.0 + first, 1.75, 12.0), 10.0 + second, 1.75, 12.0)
    once = steps.apply(CURVE, 10.0 + first + second, 1.75, 12.0)
    assert twice.low_compression == pytest.approx(once.low_compression)


def test_impossible_curves_and_adjusters_are_refused() -> None:
    """Each message names its value."""
    with pytest.raises(PhysicsError, match="low compression damping"):
        replace(CURVE, low_compression=-1.0)
    with pytest.raises(PhysicsError, match="rebound knee"):
        replace(CURVE, rebound_knee=0.01)
    with pytest.raises(PhysicsError, match="effect of a click"):
        Adjusters(per_click=0.0)
    with pytest.raises(PhysicsError, match="rebound"):
        Adjusters().apply(CURVE, 10.0, 1.75, float("inf"))
