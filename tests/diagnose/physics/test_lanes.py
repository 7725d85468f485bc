"""Lanes: forces and rest."""

from dataclasses import replace

import numpy as np
import pytest

from diagnose.physics.atmosphere import STANDARD_GRAVITY
from diagnose.physics.damping.damping_curve import DampingCurve
from diagnose.physics.errors import PhysicsError
from diagnose.physics.ride.axle import Axle, Setup
from diagnose.physics.ride.lanes import Lanes, SetupLanes, UnknownScales, build_lanes
from diagnose.physics.springs.tyre_pressure import radial_stiffness


def lanes_of(axle: Axle, *setups: Setup) -> Lanes:
    """Lanes with nothing unknown."""
    return build_lanes(axle, SetupLanes.of(setups), UnknownScales.ones(len(setups)))


def test_a_lane_carries_its_setup(axle: Axle, setup: Setup, faulty: Setup) -> None:
    """Tyre, adjusters and friction arrive in the right lane."""
    lanes = lanes_of(axle, setup, faulty)
    for lane, one in enumerate((setup, faulty)):
        assert lanes.tyre_stiffness[lane] == pytest.approx(
            radial_stiffness(one.tyre_pressure, 0.35, 0.045, axle.carcass_stiffness)
        )
        curve = axle.adjusters.apply(
            axle.damping, one.low_speed_compression, one.high_speed_compression, one.rebound
        )
        for name in DampingCurve.__dataclass_fields__:
            assert getattr(lanes, name)[lane] == pytest.approx(getattr(curve, name))
        assert lanes.friction[lane] == one.friction
        assert lanes.suspension.spring_rate[lane] == one.spring_rate


def test_rest_is_where_the_suspension_carries_the_weight(
    axle: Axle, setup: Setup, faulty: Setup
) -> None:
    """Balance in each lane; more spring and air stand higher."""
    lanes = lanes_of(axle, setup, faulty)
    rest = lanes.rest_travel()
    assert lanes.suspension.force(rest) == pytest.approx(axle.sprung_mass * STANDARD_GRAVITY)
    assert rest[1] < rest[0]


def test_a_bike_too_heavy_for_its_spring_is_refused(axle: Axle, setup: Setup) -> None:
    """The message says what would help."""
    with pytest.raises(PhysicsError, match="stiffer spring"):
        lanes_of(replace(axle, sprung_mass=900.0), setup).rest_travel()


def test_scales_act_on_what_they_name(axle: Axle, setup: Setup) -> None:
    """Doubling one unknown doubles that quantity and no other."""
    plain = lanes_of(axle, setup)
    four = np.array([4.0])
    shims = {"compression_opens", "rebound_opens"}
    slopes = {"compression_slope", "rebound_slope"}
    bleeds = {"compression_bleed", "rebound_bleed"}
    for name, touched in (
        ("tyre_stiffness", {"tyre_air", "tyre_carcass"}),
        ("friction", {"friction"}),
        ("opening", shims),
        ("sprung_mass", {"sprung_mass"}),
        ("unsprung_mass", {"unsprung_mass"}),
        ("damping", shims | slopes | bleeds),
    ):
        scales = replace(UnknownScales.ones(1), **{name: four})
        scaled = build_lanes(axle, SetupLanes.of([setup]), scales)
        changed = {
            item
            for item in Lanes.__slots__
            if item != "suspension"
            and not np.array_equal(getattr(scaled, item), getattr(plain, item))
        }
        assert changed == touched
        for item in touched:
            # twice the bleed is a quarter of the force
            times = 0.5 if item in bleeds else 4.0
            assert getattr(scaled, item) == pytest.approx(times * getattr(plain, item))


def test_step_effect_matters_only_off_standard(axle: Axle, setup: Setup, faulty: Setup) -> None:
    """At the standard position the size of a click does not matter."""
    scales = replace(UnknownScales.ones(2), step_effect=np.array([2.0, 2.0]))
    scaled = build_lanes(axle, SetupLanes.of([setup, faulty]), scales)
    plain = lanes_of(axle, setup, faulty)
    assert scaled.compression_bleed[0] == plain.compression_bleed[0]
    assert scaled.compression_bleed[1] < plain.compression_bleed[1]


def test_slices_keep_their_lanes(axle: Axle, setup: Setup, faulty: Setup) -> None:
    """A slice is those lanes and nothing else."""
    lanes = lanes_of(axle, setup, faulty, setup)
    part = lanes.take(np.array([1]))
    assert part.count == 1
    assert part.friction[0] == faulty.friction
    assert part.suspension.spring_rate.size == 1
    assert part.suspension.bump_start == lanes.suspension.bump_start


def test_a_flat_tyre_needs_a_carcass(axle: Axle, setup: Setup) -> None:
    """Nothing would hold the bike up."""
    with pytest.raises(PhysicsError, match="carcass"):
        lanes_of(replace(axle, carcass_stiffness=0.0), replace(setup, tyre_pressure=0.0))


def test_lane_counts_must_agree(axle: Axle, setup: Setup) -> None:
    """As many draws as setups, and at least one."""
    with pytest.raises(PhysicsError, match="2 draws"):
        build_lanes(axle, SetupLanes.of([setup]), UnknownScales.ones(2))
    with pytest.raises(PhysicsError, match="0 setups"):
        SetupLanes.of([])
