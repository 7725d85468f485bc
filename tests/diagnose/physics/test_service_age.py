"""The ageing model keeps to its stated anchors."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.physics.damping.service_age import condition_at
from diagnose.physics.errors import PhysicsError


def test_fresh_is_fresh() -> None:
    """Nothing lost at zero hours, and no doubt about it."""
    fresh = condition_at(0.0)
    assert fresh.damping.low == fresh.damping.middle == fresh.damping.high == 1.0
    assert fresh.friction.middle == 1.0
    assert fresh.coating_worn.middle < 0.01


@given(st.floats(0.0, 300.0), st.floats(0.1, 100.0))
def test_it_only_gets_worse(hours: float, more: float) -> None:
    """Damping falls, friction and the chance of worn coating rise."""
    now, later = condition_at(hours), condition_at(hours + more)
    assert later.damping.middle <= now.damping.middle
    assert later.friction.middle >= now.friction.middle
    assert later.coating_worn.middle >= now.coating_worn.middle


@given(st.floats(0.0, 500.0))
def test_every_band_holds_its_middle(hours: float) -> None:
    """Low, middle and high are in order, and shares stay shares."""
    now = condition_at(hours)
    for aged in (now.interval_share, now.damping, now.friction, now.coating_worn):
        assert aged.low <= aged.middle <= aged.high
    assert 0.0 <= now.coating_worn.low <= now.coating_worn.high <= 1.0
    assert 0.7 <= now.damping.low <= 1.0


def test_coating_is_as_likely_as_not_between_35_and_40_hours() -> None:
    """The anchor the trade gives."""
    assert condition_at(35.0).coating_worn.middle < 0.5 < condition_at(40.0).coating_worn.middle


def test_the_interval_spans_30_to_50_hours() -> None:
    """30 h is due for hard use and not for easy use."""
    share = condition_at(30.0).interval_share
    assert share.high == pytest.approx(1.0)
    assert share.low == pytest.approx(0.6)


def test_negative_hours_are_refused() -> None:
    """Nobody services tomorrow's bike."""
    with pytest.raises(PhysicsError, match="hours since service is -1"):
        condition_at(-1.0)
