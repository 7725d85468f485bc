"""Bolt preload and side loads."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.physics.chassis.fastener import (
    NUT_FACTOR_DRY,
    NUT_FACTOR_GREASED,
    ForkLeg,
    clamp_load_ratio,
    friction_from_axle_misfit,
    friction_from_unequal_height,
    preload,
)
from diagnose.physics.errors import PhysicsError


@given(st.floats(1.0, 150.0), st.floats(0.005, 0.02), st.floats(0.08, 0.3))
def test_preload_times_k_and_d_is_the_torque(torque: float, d: float, k: float) -> None:
    """T = K F d, and the band lies round the middle."""
    load = preload(torque, d, k)
    assert load.middle * k * d == pytest.approx(torque)
    assert load.low < load.middle < load.high


def test_no_scatter_leaves_no_band() -> None:
    """Scatter alone makes the band."""
    load = preload(20.0, 0.008, scatter=0.0)
    assert load.low == load.middle == load.high


def test_grease_at_a_dry_torque_clamps_harder() -> None:
    """Some 1.7 times, with the wrench none the wiser."""
    ratio = clamp_load_ratio(20.0, 20.0, NUT_FACTOR_GREASED, NUT_FACTOR_DRY)
    assert ratio == pytest.approx(1.67, abs=0.01)
    assert clamp_load_ratio(30.0, 20.0, NUT_FACTOR_DRY) == pytest.approx(1.5)


def test_legs_that_stand_true_add_nothing() -> None:
    """Play takes up the first tenths of a millimetre."""
    assert friction_from_axle_misfit(0.0001).middle == 0.0
    assert friction_from_unequal_height(0.0001).middle == 0.0


@given(st.floats(0.0005, 0.003))
def test_more_misfit_binds_more_and_says_it_is_rough(misfit: float) -> None:
    """Monotone, with a factor of three either way."""
    for model in (friction_from_axle_misfit, friction_from_unequal_height):
        some, more = model(misfit), model(2.0 * misfit)
        assert more.middle > some.middle > 0.0
        assert some.high / some.low == pytest.approx(9.0)


def test_a_millimetre_of_misfit_is_of_the_order_of_a_hundred_newtons() -> None:
    """Between ten and a thousand: enough to feel beside 60 N of sound friction."""
    assert 10.0 < friction_from_axle_misfit(0.001).middle < 1_000.0
    assert 10.0 < friction_from_unequal_height(0.001).middle < 1_000.0


def test_axle_misfit_by_the_levers_of_a_beam_on_two_bushings() -> None:
    """1 mm beyond the play bends the default leg with 223 N; 600 over 150 mm makes 2,010 N.

    Lower bushing F (1 + L / overlap), upper bushing F L / overlap, a tenth of it friction.
    """
    leg = ForkLeg()
    side_force = 3.0 * leg.bending_stiffness * 0.001 / 0.6**3
    assert side_force == pytest.approx(223.0, abs=2.0)
    bushings = side_force * (1.0 + 4.0) + side_force * 4.0
    assert friction_from_axle_misfit(0.00115).middle == pytest.approx(0.1 * bushings)


def test_unequal_height_by_the_moment_over_the_overlap() -> None:
    """0.4 mm over 200 mm less 1 mrad of play leaves 1 mrad: moment E I / L times that."""
    leg = ForkLeg()
    moment = leg.bending_stiffness * 0.001 / 0.6
    pair = 2.0 * moment / 0.15
    assert friction_from_unequal_height(0.0004).middle == pytest.approx(0.1 * pair)


def test_stiffer_tube_binds_more() -> None:
    """A thicker wall gives way less."""
    thick = ForkLeg(wall=0.004)
    assert friction_from_axle_misfit(0.001, thick).middle > friction_from_axle_misfit(0.001).middle


def test_impossible_fasteners_are_refused() -> None:
    """Each message names its value."""
    with pytest.raises(PhysicsError, match="torque"):
        preload(-1.0, 0.008)
    with pytest.raises(PhysicsError, match="diameter"):
        preload(1.0, 0.0)
    with pytest.raises(PhysicsError, match="nut factor"):
        preload(1.0, 0.008, 0.01)
    with pytest.raises(PhysicsError, match="scatter"):
        preload(1.0, 0.008, 0.2, 1.0)
    with pytest.raises(PhysicsError, match="too thick"):
        ForkLeg(wall=0.03)
    with pytest.raises(PhysicsError, match="spacing"):
        ForkLeg(spacing=0.0)
    with pytest.raises(PhysicsError, match="misfit"):
        friction_from_axle_misfit(-0.001)
    with pytest.raises(PhysicsError, match="height difference"):
        friction_from_unequal_height(-0.001)
    with pytest.raises(PhysicsError, match="specified torque"):
        clamp_load_ratio(1.0, 0.0, 0.2)


@pytest.mark.parametrize(
    ("torque", "thread", "k", "kilonewton"),
    [
        (20.0, 8.0, 0.20, 12.5),
        (20.0, 8.0, 0.15, 16.7),
        (20.0, 8.0, 0.12, 20.8),
        (15.0, 8.0, 0.20, 9.4),
        (10.0, 6.0, 0.20, 8.3),
    ],
)
def test_hand_calculations(torque: float, thread: float, k: float, kilonewton: float) -> None:
    """Source: computed by hand; 20 N m is a printed upper-clamp torque: Kawasaki KX250F 2006
    workshop manual p. 2-60 (seen).
    """
    assert preload(torque, thread / 1e3, k).middle / 1e3 == pytest.approx(kilonewton, abs=0.05)
