"""The simulation: rest, flight, stops, friction, convergence, lanes."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.physics.arrays import FloatArray
from diagnose.physics.budget.unknowns import Unknowns, draw
from diagnose.physics.errors import PhysicsError
from diagnose.physics.ride.axle import AirColumn, Axle, Setup
from diagnose.physics.ride.ground import Obstacle
from diagnose.physics.ride.lanes import Lanes, SetupLanes, UnknownScales, build_lanes
from diagnose.physics.ride.obstacles import landing, square_edge
from diagnose.physics.ride.quarter_car import simulate
from tests.reference_setup import reference_bike, reference_setup

FLAT = np.zeros(200)


def lanes_of(axle: Axle, *setups: Setup) -> Lanes:
    """Lanes with nothing unknown."""
    return build_lanes(axle, SetupLanes.of(setups), UnknownScales.ones(len(setups)))


def many(axle: Axle, setup: Setup, count: int) -> Lanes:
    """Lanes that all differ."""
    scales = draw(Unknowns(), count, np.random.default_rng(3))
    return build_lanes(axle, SetupLanes.of([setup] * count), scales)


def test_on_flat_ground_nothing_moves(axle: Axle, setup: Setup, faulty: Setup) -> None:
    """Every lane starts at rest and stays there."""
    motion = simulate(lanes_of(axle, setup, faulty), FLAT, 0.002)
    assert np.abs(motion.acceleration).max() < 1e-9
    assert motion.greatest_travel == pytest.approx(motion.rest_travel)


def test_the_ground_pushes_and_never_pulls(axle: Axle, setup: Setup) -> None:
    """Over a drop the tyre leaves the ground, at exactly no force, and comes back."""
    drop = landing(drop=0.5)
    motion = simulate(lanes_of(axle, setup), drop.road, drop.time_step, with_traces=True)
    assert motion.traces is not None
    tyre = motion.traces.tyre_force[:, 0]
    assert tyre.min() == 0.0
    assert np.count_nonzero(tyre == 0.0) * drop.time_step > 0.2
    assert tyre.max() > 3.0 * tyre[0]


def test_in_flight_the_whole_bike_falls_freely(axle: Axle, setup: Setup) -> None:
    """While the tyre is off the ground the common centre of mass falls at g."""
    drop = landing(drop=0.8)
    motion = simulate(lanes_of(axle, setup), drop.road, drop.time_step, with_traces=True)
    traces = motion.traces
    assert traces is not None
    rows = np.flatnonzero(traces.tyre_force[:, 0] == 0.0)
    first, last = rows[1], rows[1] + 80
    body_speed = traces.axle_speed[:, 0] - traces.travel_speed[:, 0]
    momentum = axle.sprung_mass * body_speed + axle.unsprung_mass * traces.axle_speed[:, 0]
    centre = momentum / (axle.sprung_mass + axle.unsprung_mass)
    fall = (centre[last] - centre[first]) / ((last - first) * drop.time_step)
    assert fall == pytest.approx(-9.80665, rel=1e-6)


def test_the_bump_stop_holds_a_hard_landing(axle: Axle, setup: Setup) -> None:
    """All travel used, and little more; without the stop far more."""
    drop = landing(drop=1.2)
    with_stop = simulate(lanes_of(axle, setup), drop.road, drop.time_step)
    bare = replace(axle, bump_stiffness=0.0)
    without = simulate(lanes_of(bare, setup), drop.road, drop.time_step)
    assert axle.travel < with_stop.greatest_travel[0] < axle.travel + 0.05
    assert without.greatest_travel[0] > with_stop.greatest_travel[0] + 0.005


def test_friction_alone_holds_the_bike_still_below_breakaway(axle: Axle, setup: Setup) -> None:
    """Ground that lifts gently moves body and wheel as one while friction holds."""
    stuck = replace(setup, friction=400.0)
    rise = 0.001 * (1.0 - np.cos(np.linspace(0.0, np.pi, 1_000))) / 2.0
    motion = simulate(lanes_of(axle, stuck), rise, 0.002, with_traces=True)
    assert motion.traces is not None
    travel = motion.traces.travel[:, 0]
    # The holding law creeps a little: F / v_s is its slope.
    assert np.ptp(travel) < 2e-4


def test_friction_force_never_exceeds_its_limit(axle: Axle, setup: Setup) -> None:
    """With no oil in it, the damper force is friction alone."""
    dry = replace(
        axle,
        damping=replace(
            axle.damping,
            low_compression=0.0,
            high_compression=0.0,
            low_rebound=0.0,
            high_rebound=0.0,
        ),
    )
    edge = square_edge(0.35)
    motion = simulate(lanes_of(dry, setup), edge.road, edge.time_step, with_traces=True)
    assert motion.traces is not None
    force = np.abs(motion.traces.damper_force)
    assert force.max() == pytest.approx(setup.friction)


def test_damper_force_is_the_curve_plus_friction(axle: Axle, setup: Setup) -> None:
    """The implicit step returns exactly the stated law at the stated speed."""
    edge = square_edge(0.35)
    motion = simulate(lanes_of(axle, setup), edge.road, edge.time_step, with_traces=True)
    assert motion.traces is not None
    for speed, force in zip(
        motion.traces.travel_speed[:, 0], motion.traces.damper_force[:, 0], strict=True
    ):
        grip = setup.friction * np.clip(speed / 0.005, -1.0, 1.0)
        assert force == pytest.approx(axle.damping.force(speed) + grip, rel=1e-9, abs=1e-6)


def test_one_lane_and_many_lanes_are_the_same_bike(axle: Axle, setup: Setup, faulty: Setup) -> None:
    """The quick path for one lane and the array path agree, with stops and flight in play."""
    drop = landing(drop=1.0)
    for one in (setup, faulty):
        single = simulate(lanes_of(axle, one), drop.road, drop.time_step)
        double = simulate(lanes_of(axle, one, setup), drop.road, drop.time_step)
        assert double.acceleration[:, 0] == pytest.approx(single.acceleration[:, 0], abs=1e-7)
        assert double.greatest_travel[0] == pytest.approx(single.greatest_travel[0])


@settings(max_examples=15)
@given(seed=st.integers(0, 10_000))
def test_the_two_paths_agree_for_any_draw(seed: int) -> None:
    """Front and rear, any draw of the unknowns."""
    bike, setups = reference_bike(), reference_setup()
    edge = square_edge(0.34, duration=0.5)
    for axle, one in ((bike.front, setups.front), (bike.rear, setups.rear)):
        scales = draw(Unknowns(), 2, np.random.default_rng(seed))
        lanes = build_lanes(axle, SetupLanes.of([one, one]), scales)
        both = simulate(lanes, edge.road, edge.time_step)
        single = simulate(lanes.slice(1, 2), edge.road, edge.time_step)
        assert both.acceleration[:, 1] == pytest.approx(single.acceleration[:, 0], abs=1e-7)


def test_blocks_join_in_order(axle: Axle, setup: Setup) -> None:
    """More lanes than one block holds come back in order, traces too."""
    lanes = many(axle, setup, 2_500)
    road = square_edge(0.35, duration=0.2).road
    whole = simulate(lanes, road, 0.002, with_traces=True)
    assert whole.acceleration.shape == (road.size, 2_500)
    for lane in (0, 1_249, 1_250, 2_499):
        alone = simulate(lanes.slice(lane, lane + 1), road, 0.002)
        assert whole.acceleration[:, lane] == pytest.approx(alone.acceleration[:, 0], abs=1e-7)
    assert whole.traces is not None
    assert whole.traces.travel.shape == (road.size, 2_500)


def rms(values: FloatArray) -> float:
    """Root mean square."""
    return float(np.sqrt(np.mean(values**2)))


def test_halving_the_step_hardly_matters(axle: Axle, setup: Setup) -> None:
    """Unweighted acceleration over an edge settles to within 2 % at the step used."""
    lanes = lanes_of(axle, setup)
    used = rms(simulate(lanes, square_edge(0.35).road, 0.002).acceleration)
    fine_road = square_edge(0.35, time_step=0.00025).road
    fine = rms(simulate(lanes, fine_road, 0.00025).acceleration)
    assert used == pytest.approx(fine, rel=0.02)


def test_without_air_the_air_branch_changes_nothing(axle: Axle, setup: Setup) -> None:
    """A column of no area is no column."""
    none = replace(axle, air=AirColumn(area=0.0, length=1.0))
    tiny = replace(axle, air=AirColumn(area=1e-12, length=1.0))
    road = square_edge(0.35).road
    assert simulate(lanes_of(none, setup), road, 0.002).acceleration == pytest.approx(
        simulate(lanes_of(tiny, setup), road, 0.002).acceleration, abs=1e-6
    )


@pytest.mark.parametrize(
    ("road", "step", "said"),
    [
        (np.zeros(1), 0.002, "two or more"),
        (np.zeros((5, 2)), 0.002, "two or more"),
        (np.array([0.0, np.nan]), 0.002, "two or more"),
        (FLAT, 0.0, "time step"),
        (FLAT, 0.01, "0.004 s or less"),
    ],
)
def test_impossible_runs_are_refused(
    axle: Axle, setup: Setup, road: FloatArray, step: float, said: str
) -> None:
    """Each message names its value."""
    with pytest.raises(PhysicsError, match=said):
        simulate(lanes_of(axle, setup), road, step)


def test_obstacles_drive_the_model_as_they_are(axle: Axle, setup: Setup) -> None:
    """A road that lifts and stays leaves the bike that much higher at the end."""
    step = Obstacle("step", np.concatenate([np.zeros(5), np.full(2_000, 0.05)]))
    motion = simulate(
        lanes_of(axle, replace(setup, friction=0.0)), step.road, 0.002, with_traces=True
    )
    assert motion.traces is not None
    assert motion.traces.axle[-1, 0] - motion.traces.axle[0, 0] == pytest.approx(0.05, abs=1e-4)
    assert motion.traces.travel[-1, 0] == pytest.approx(motion.rest_travel[0], abs=1e-4)
