"""Energy in is energy stored and turned to heat."""

from dataclasses import replace

import numpy as np
import pytest

from diagnose.physics.axle import Axle, Setup
from diagnose.physics.damping import DampingCurve
from diagnose.physics.energy import energy_balance
from diagnose.physics.errors import PhysicsError
from diagnose.physics.ground import Obstacle
from diagnose.physics.lanes import Lanes, SetupLanes, UnknownScales, build_lanes
from diagnose.physics.obstacles import standard_obstacles
from diagnose.physics.quarter_car import simulate
from diagnose.physics.reference_bike import reference_bike, reference_setup


def lanes_of(axle: Axle, setup: Setup) -> Lanes:
    """One lane with nothing unknown."""
    return build_lanes(axle, SetupLanes.of([setup]), UnknownScales.ones(1))


@pytest.mark.parametrize("number", range(5))
@pytest.mark.parametrize("end", ["front", "rear"])
def test_the_books_balance_over_every_obstacle(number: int, end: str) -> None:
    """To a thousandth of what changed hands, at the step used, friction, air and stops included."""
    axle = getattr(reference_bike(), end)
    setup = getattr(reference_setup(), end)
    obstacle = standard_obstacles(axle.wheel_radius, np.random.default_rng(4))[number]
    lanes = lanes_of(axle, setup)
    balance = energy_balance(
        lanes, simulate(lanes, obstacle.road, obstacle.time_step, with_traces=True)
    )
    assert balance.turnover[0] > 10.0
    assert balance.relative_error[0] < 0.001
    assert balance.damper_heat[0] > 0.0


def test_a_finer_step_balances_better() -> None:
    """The error shrinks with the step: it is the method's, not a missing force."""
    axle, setup = reference_bike().front, reference_setup().front
    lanes = lanes_of(axle, setup)
    errors = []
    for step in (0.004, 0.001, 0.00025):
        edge = standard_obstacles(axle.wheel_radius, np.random.default_rng(4), step)[2]
        motion = simulate(lanes, edge.road, step, with_traces=True)
        errors.append(energy_balance(lanes, motion).relative_error[0])
    assert errors[2] < errors[1] < errors[0]
    assert errors[2] < 0.02 * errors[0]


def test_without_damping_nothing_turns_to_heat(axle: Axle, setup: Setup) -> None:
    """A lossless end set swinging keeps its energy for two seconds."""
    loss_free = replace(axle, damping=DampingCurve(0.0, 0.0, 0.0, 0.0, 0.4, 0.35), tyre_damping=0.0)
    lanes = lanes_of(loss_free, replace(setup, friction=0.0))
    bump = np.zeros(1_000)
    bump[:100] = 0.01 * (1.0 - np.cos(np.linspace(0.0, 2.0 * np.pi, 100))) / 2.0
    motion = simulate(lanes, bump, 0.002, with_traces=True)
    balance = energy_balance(lanes, motion)
    assert balance.damper_heat[0] == pytest.approx(0.0, abs=1e-9)
    assert motion.traces is not None
    assert np.abs(motion.acceleration[-200:]).max() > 0.1
    assert balance.relative_error[0] < 0.01


def test_a_missing_force_would_be_seen(axle: Axle, setup: Setup) -> None:
    """Books kept with a spring 5 % off do not balance, so the check can fail."""
    lanes = lanes_of(axle, setup)
    # The run must end away from rest, or a wrong spring stores nothing.
    road = np.concatenate([np.zeros(10), np.full(45, 0.05)])
    motion = simulate(lanes, road, 0.002, with_traces=True)
    right = lanes.suspension
    wrong = replace(right, spring_rate=right.spring_rate * 1.05)
    honest = energy_balance(lanes, motion).relative_error[0]
    cooked = energy_balance(replace(lanes, suspension=wrong), motion)
    assert cooked.relative_error[0] > 3.0 * honest


def test_traces_are_needed(axle: Axle, setup: Setup) -> None:
    """No books without receipts."""
    lanes = lanes_of(axle, setup)
    flat = Obstacle("flat", np.zeros(50))
    with pytest.raises(PhysicsError, match="traces"):
        energy_balance(lanes, simulate(lanes, flat.road, flat.time_step))
