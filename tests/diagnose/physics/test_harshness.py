"""One number per end, per bike, and how many felt steps it is."""

from dataclasses import replace

import numpy as np
import pytest

from diagnose.physics.ride.axle import Axle, Contact, Setup
from diagnose.physics.ride.ground import Obstacle
from diagnose.physics.ride.harshness import FELT, felt_and_travel, felt_steps, harshness
from diagnose.physics.ride.lanes import SetupLanes, UnknownScales, build_lanes
from diagnose.physics.ride.obstacles import landing, square_edge
from diagnose.physics.ride.quarter_car import simulate
from diagnose.physics.ride.weighting import WH, WK, weighted


@pytest.mark.parametrize(("contact", "corner"), [(Contact.HANDS, 2.0), (Contact.BODY, WK.f1)])
def test_the_number_is_the_fourth_root_of_the_mean_fourth_power(
    axle: Axle, setup: Setup, contact: Contact, corner: float
) -> None:
    """Taken apart and put together again, with the weighting of the contact."""
    end = replace(axle, contact=contact)
    edge = square_edge(0.35)
    lanes = build_lanes(end, SetupLanes.of([setup]), UnknownScales.ones(1))
    motion = simulate(lanes, [edge])
    curve = replace(WH if contact is Contact.HANDS else WK, f1=corner)
    assert FELT[contact] == curve
    felt = weighted(motion.acceleration[:, 0], edge.time_step, curve)
    assert harshness(end, setup, edge) == pytest.approx(float(np.mean(felt**4) ** 0.25))


def test_a_felt_step_is_ten_per_cent() -> None:
    """Up or down."""
    assert felt_steps(1.21) == pytest.approx(2.0)
    assert felt_steps(1.0 / 1.1) == pytest.approx(-1.0)


def test_flat_ground_is_not_harsh(axle: Axle, setup: Setup) -> None:
    """Nothing moves, nothing is felt."""
    assert harshness(axle, setup, Obstacle("flat", np.zeros(300))) < 1e-9


def test_a_higher_edge_is_harsher(axle: Axle, setup: Setup) -> None:
    """Monotone in the obstacle."""
    values = [harshness(axle, setup, square_edge(0.35, height=h)) for h in (0.01, 0.03, 0.06)]
    assert values == sorted(values)


def test_several_rides_are_each_alone(axle: Axle, setup: Setup) -> None:
    """A row a ride, whatever its length; only a hard landing uses all the travel."""
    rides = (landing(drop=1.5), square_edge(0.35))
    lanes = build_lanes(axle, SetupLanes.of([setup]), UnknownScales.ones(1))
    felt, travel = felt_and_travel(lanes, axle.contact, rides)
    for row, ride in zip(felt, rides, strict=True):
        assert row[0] == pytest.approx(harshness(axle, setup, ride))
    assert travel[0, 0] >= axle.travel > travel[1, 0]
