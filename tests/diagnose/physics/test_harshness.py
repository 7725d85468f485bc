"""One number per end, per bike."""

from dataclasses import replace

import numpy as np
import pytest

from diagnose.physics.ride.axle import Axle, Contact, Setup
from diagnose.physics.ride.ground import Obstacle
from diagnose.physics.ride.harshness import harshness
from diagnose.physics.ride.lanes import SetupLanes, UnknownScales, build_lanes
from diagnose.physics.ride.obstacles import landing, square_edge
from diagnose.physics.ride.quarter_car import simulate
from diagnose.physics.ride.weighting import WH, WK, weighted


@pytest.mark.parametrize(("contact", "curve"), [(Contact.HANDS, WH), (Contact.BODY, WK)])
def test_the_number_is_rms_plus_a_ninth_of_the_peak(
    axle: Axle, setup: Setup, contact: Contact, curve: object
) -> None:
    """Taken apart and put together again, with the weighting of the contact."""
    end = replace(axle, contact=contact)
    edge = square_edge(0.35)
    lanes = build_lanes(end, SetupLanes.of([setup]), UnknownScales.ones(1))
    motion = simulate(lanes, edge.road, edge.time_step)
    assert curve is WH or curve is WK
    felt = weighted(motion.acceleration[:, 0], edge.time_step, WH if curve is WH else WK)
    rms, peak = float(np.sqrt(np.mean(felt**2))), float(np.abs(felt).max())
    found = harshness(end, setup, edge)
    assert found.weighted_rms == pytest.approx(rms)
    assert found.weighted_peak == pytest.approx(peak)
    assert found.value == pytest.approx(rms + peak / 9.0)


def test_flat_ground_is_not_harsh(axle: Axle, setup: Setup) -> None:
    """Nothing moves, nothing is felt."""
    assert harshness(axle, setup, Obstacle("flat", np.zeros(300))).value < 1e-9


def test_a_higher_edge_is_harsher(axle: Axle, setup: Setup) -> None:
    """Monotone in the obstacle."""
    values = [harshness(axle, setup, square_edge(0.35, height=h)).value for h in (0.01, 0.03, 0.06)]
    assert values == sorted(values)


def test_bottoming_is_told_apart(axle: Axle, setup: Setup) -> None:
    """A hard landing bottoms and says so; an edge does not."""
    assert harshness(axle, setup, landing(drop=1.5)).bottomed
    assert not harshness(axle, setup, square_edge(0.35)).bottomed
