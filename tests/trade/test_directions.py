"""What riders and technicians know must come out of the models."""

import pytest

from diagnose.harshness.stand_in import stand_in
from diagnose.physics.damping.service_age import COATING_ONSET, condition_at
from diagnose.physics.springs.trapped_air import air_force, gauge_pressure
from diagnose.physics.springs.tyre_pressure import radial_stiffness
from tests.reference_setup import reference_bike

PSI = 6_894.757


def test_hours_alone_do_not_decide() -> None:
    """At 15 h one rider's fork was worn out and another's was as new; the band must allow both.

    Source: "Bones Bacon on suspension: when to service your fork & shock", Motocross Action
    (seen).
    """
    worn = condition_at(15.0).coating_worn
    assert worn.low < 0.05
    assert worn.high > 0.2
    assert condition_at(COATING_ONSET).coating_worn.middle == pytest.approx(0.5)


def test_a_worked_fork_gets_harder() -> None:
    """Trapped air rises in normal use and the fork gets harder.

    Source: Kawasaki KX250F 2013 owner's manual p. 112; Honda CR250R 2004 owner's manual
    p. 70 (adjust for altitude and outside temperature) (both seen).
    """
    cold, worked = (
        gauge_pressure(101_325.0, 293.15, 101_325.0, 293.15 + warmer) for warmer in (0.0, 25.0)
    )
    assert worked > cold
    assert air_force(stand_in().fork_leg, worked, 101_325.0, 0.2) > air_force(
        stand_in().fork_leg, cold, 101_325.0, 0.2
    )


def test_a_soft_off_road_tyre_lies_below_the_road_range() -> None:
    """Common road models measure 115 to 180 N/mm; an off-road tyre at 12.5 psi is softer.

    Source: Cossalter, "Motorcycle Dynamics", 2006, and Sharp et al., "Advances in the
    modelling of motorcycle dynamics", 2004 (from memory).
    """
    front = reference_bike().front
    assert radial_stiffness(12.5 * PSI, front.wheel_radius, front.crown_radius) < 115e3
    road = radial_stiffness(33.0 * PSI, front.wheel_radius, front.crown_radius)
    assert 115e3 < road < 350e3
