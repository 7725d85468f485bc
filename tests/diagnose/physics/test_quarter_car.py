"""The simulation: rest, flight, stops, friction, convergence, lanes."""

from dataclasses import replace

import numpy as np
import pytest

from diagnose.physics.arrays import FloatArray
from diagnose.physics.budget.unknowns import Unknowns, draw
from diagnose.physics.damping.damping_curve import DampingCurve
from diagnose.physics.errors import PhysicsError
from diagnose.physics.ride.axle import AirColumn, Axle, Setup
from diagnose.physics.ride.ground import Obstacle
from diagnose.physics.ride.harshness import harshness_of_lanes
from diagnose.physics.ride.lanes import Lanes, SetupLanes, UnknownScales, build_lanes
from diagnose.physics.ride.obstacles import landing, square_edge
from diagnose.physics.ride.quarter_car import BREAK_AWAY, RIM_ROOM, simulate
from tests.diagnose.physics.conftest import small_chop

FLAT = Obstacle("flat", np.zeros(200))


def lanes_of(axle: Axle, *setups: Setup) -> Lanes:
    """Lanes with nothing unknown."""
    return build_lanes(axle, SetupLanes.of(setups), UnknownScales.ones(len(setups)))


def many(axle: Axle, setup: Setup, count: int) -> Lanes:
    """Lanes that all differ."""
    scales = draw(Unknowns(), count, np.random.default_rng(3))
    return build_lanes(axle, SetupLanes.of([setup] * count), scales)


def test_on_flat_ground_nothing_moves(axle: Axle, setup: Setup, faulty: Setup) -> None:
    """Every lane starts at rest and stays there."""
    motion = simulate(lanes_of(axle, setup, faulty), [FLAT])
    assert np.abs(motion.acceleration).max() < 1e-9
    assert motion.greatest_travel == pytest.approx(motion.rest_travel)


def test_the_ground_pushes_and_never_pulls(axle: Axle, setup: Setup) -> None:
    """Over a drop the tyre leaves the ground, at exactly no force, and comes back."""
    drop = landing(drop=0.5)
    motion = simulate(lanes_of(axle, setup), [drop], with_traces=True)
    assert motion.traces is not None
    tyre = motion.traces.tyre_force[:, 0]
    assert tyre.min() == 0.0
    assert np.count_nonzero(tyre == 0.0) * drop.time_step > 0.2
    assert tyre.max() > 3.0 * tyre[0]


def test_in_flight_the_whole_bike_falls_freely(axle: Axle, setup: Setup) -> None:
    """While the tyre is off the ground the common centre of mass falls at g."""
    drop = landing(drop=0.8)
    motion = simulate(lanes_of(axle, setup), [drop], with_traces=True)
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
    with_stop = simulate(lanes_of(axle, setup), [drop])
    bare = replace(axle, bump_stiffness=0.0)
    without = simulate(lanes_of(bare, setup), [drop])
    assert axle.travel < with_stop.greatest_travel[0] < axle.travel + 0.05
    assert without.greatest_travel[0] > with_stop.greatest_travel[0] + 0.005


def test_friction_alone_holds_the_bike_still_below_breakaway(axle: Axle, setup: Setup) -> None:
    """Ground that lifts gently moves body and wheel as one while friction holds."""
    stuck = replace(setup, friction=400.0)
    rise = 0.001 * (1.0 - np.cos(np.linspace(0.0, np.pi, 1_000))) / 2.0
    motion = simulate(lanes_of(axle, stuck), [Obstacle("rise", rise)], with_traces=True)
    assert motion.traces is not None
    travel = motion.traces.travel[:, 0]
    # The holding law creeps a little: F / v_s is its slope.
    assert np.ptp(travel) < 2e-4


def test_friction_force_never_exceeds_its_limit(axle: Axle, setup: Setup) -> None:
    """With no oil in it, the damper force is friction alone."""
    dry = replace(axle, damping=DampingCurve.straight(1e-9))
    edge = square_edge(0.35)
    motion = simulate(lanes_of(dry, setup), [edge], with_traces=True)
    assert motion.traces is not None
    force = np.abs(motion.traces.friction_force)
    assert setup.friction < force.max() <= BREAK_AWAY * setup.friction * (1.0 + 1e-9)
    assert np.abs(motion.traces.damper_force).max() < 1e-6


def test_damper_force_is_the_curve(axle: Axle, setup: Setup) -> None:
    """The implicit step returns exactly the stated law at the stated speed."""
    edge = square_edge(0.35)
    motion = simulate(lanes_of(axle, setup), [edge], with_traces=True)
    assert motion.traces is not None
    for speed, force in zip(
        motion.traces.travel_speed[:, 0], motion.traces.damper_force[:, 0], strict=True
    ):
        assert force == pytest.approx(axle.damping.force(speed), rel=1e-6, abs=1e-6)


def test_rides_side_by_side_are_the_rides_alone(axle: Axle, setup: Setup, faulty: Setup) -> None:
    """Stops and flight in play; a shorter ride goes on level after its end."""
    drop, edge = landing(drop=1.0), square_edge(0.35)
    both = simulate(lanes_of(axle, setup, faulty), [drop, edge], np.array([0, 1]))
    alone = simulate(lanes_of(axle, setup), [drop])
    assert both.acceleration[:, 0] == pytest.approx(alone.acceleration[:, 0])
    alone = simulate(lanes_of(axle, faulty), [edge])
    assert both.acceleration[: edge.road.size, 1] == pytest.approx(alone.acceleration[:, 0])
    assert both.greatest_travel[1] >= alone.greatest_travel[0]


def test_blocks_join_in_order(axle: Axle, setup: Setup) -> None:
    """More lanes than one block holds come back in order, traces too."""
    lanes = many(axle, setup, 2_500)
    edge = square_edge(0.35, duration=0.2)
    whole = simulate(lanes, [edge], with_traces=True)
    assert whole.acceleration.shape == (edge.road.size, 2_500)
    for lane in (0, 1_249, 1_250, 2_499):
        alone = simulate(lanes.take(np.array([lane])), [edge])
        assert whole.acceleration[:, lane] == pytest.approx(alone.acceleration[:, 0], abs=1e-7)
    assert whole.traces is not None
    assert whole.traces.travel.shape == (edge.road.size, 2_500)


def rms(values: FloatArray) -> float:
    """Root mean square."""
    return float(np.sqrt(np.mean(values**2)))


def test_halving_the_step_hardly_matters(axle: Axle, setup: Setup) -> None:
    """Unweighted acceleration over an edge settles to within 2 % at the step used."""
    lanes = lanes_of(axle, setup)
    used = rms(simulate(lanes, [square_edge(0.35)]).acceleration)
    fine = rms(simulate(lanes, [square_edge(0.35, time_step=0.00025)]).acceleration)
    assert used == pytest.approx(fine, rel=0.02)


def test_a_finer_step_moves_what_a_fault_adds_by_a_point_at_most(axle: Axle, setup: Setup) -> None:
    """A shut needle, more friction and a hard tyre, in chop and over an edge, at a quarter step."""
    faults = (
        replace(setup, low_speed_compression=0.0),
        replace(setup, friction=150.0),
        replace(setup, tyre_pressure=131e3),
    )
    lanes = lanes_of(axle, setup, *faults)
    added = []
    for step in (0.002, 0.0005):
        rides = (small_chop(0.35, time_step=step), square_edge(0.35, time_step=step))
        felt = harshness_of_lanes(lanes, axle.contact, rides)
        added.append(felt[:, 1:] / felt[:, :1] - 1.0)
    assert np.abs(added[0] - added[1]).max() < 0.01


def test_without_air_the_air_branch_changes_nothing(axle: Axle, setup: Setup) -> None:
    """A column of no area is no column."""
    none = replace(axle, air=AirColumn(area=0.0, length=1.0))
    tiny = replace(axle, air=AirColumn(area=1e-12, length=1.0))
    edge = square_edge(0.35)
    assert simulate(lanes_of(none, setup), [edge]).acceleration == pytest.approx(
        simulate(lanes_of(tiny, setup), [edge]).acceleration, abs=1e-6
    )


@pytest.mark.parametrize(
    ("road", "step", "said"),
    [
        (np.zeros(1), 0.002, "two or more"),
        (np.zeros((5, 2)), 0.002, "two or more"),
        (np.array([0.0, np.nan]), 0.002, "two or more"),
        (np.zeros(200), 0.0, "time step"),
        (np.zeros(200), 0.01, "0.004 s or less"),
    ],
)
def test_impossible_runs_are_refused(
    axle: Axle, setup: Setup, road: FloatArray, step: float, said: str
) -> None:
    """Each message names its value."""
    with pytest.raises(PhysicsError, match=said):
        simulate(lanes_of(axle, setup), [Obstacle("road", road, step)])


def test_obstacles_drive_the_model_as_they_are(axle: Axle, setup: Setup) -> None:
    """A road that lifts and stays leaves the bike that much higher at the end."""
    step = Obstacle("step", np.concatenate([np.zeros(5), np.full(2_000, 0.05)]))
    motion = simulate(lanes_of(axle, replace(setup, friction=0.0)), [step], with_traces=True)
    assert motion.traces is not None
    assert motion.traces.axle[-1, 0] - motion.traces.axle[0, 0] == pytest.approx(0.05, abs=1e-4)
    # a bleed damps the last fraction of a millimetre hardly at all
    assert motion.traces.travel[-1, 0] == pytest.approx(motion.rest_travel[0], abs=1e-3)


# -- what the end carries, and how it grips ---------------------------------------------------------


def test_power_lightens_the_front_and_loads_the_rear(axle: Axle, setup: Setup) -> None:
    """Under power a front tops out that stands into its travel when coasting."""
    power = Obstacle("power", np.zeros(50), load_shift=-0.95)
    coasting, front = (simulate(lanes_of(axle, setup), [o]).rest_travel[0] for o in (FLAT, power))
    rear = simulate(lanes_of(replace(axle, load_share=-0.78), setup), [power]).rest_travel[0]
    assert front < 0.005 < coasting < rear


def test_a_fork_starts_harder_than_it_slides(axle: Axle, setup: Setup) -> None:
    """Break-away: friction peaks above its running value and comes back to it."""
    edge = square_edge(0.35)
    motion = simulate(lanes_of(axle, setup), [edge], with_traces=True)
    assert motion.traces is not None
    fast = np.abs(motion.traces.travel_speed[:, 0]) > 0.3
    force = np.abs(motion.traces.friction_force[:, 0])
    assert force.max() > 1.15 * setup.friction
    assert np.median(force[fast]) == pytest.approx(setup.friction, rel=0.02)


def test_pressure_inside_makes_the_seals_grip(axle: Axle, setup: Setup) -> None:
    """30 kPa at 0.4 N a kPa is 12 N more, standing."""
    tight = replace(axle, seal_grip=0.0004)
    edge = square_edge(0.35)
    most = [
        np.abs(simulate(lanes_of(end, one), [edge], with_traces=True).traces.friction_force).max()  # type: ignore[union-attr]
        for end in (axle, tight)
        for one in (setup, replace(setup, trapped_pressure=30e3))
    ]
    assert most[3] > most[2] + 12.0 > most[0] + 12.0
    assert most[1] == pytest.approx(most[0], rel=0.05)


def test_a_soft_tyre_meets_its_rim(axle: Axle, setup: Setup) -> None:
    """On an edge that a tyre at 86 kPa swallows."""
    edge = square_edge(0.35, height=0.06)
    right, soft = (
        simulate(lanes_of(axle, replace(setup, tyre_pressure=p)), [edge]).greatest_squash[0]
        for p in (86e3, 35e3)
    )
    assert right < RIM_ROOM < soft


def test_the_rider_is_carried_on_bent_legs(axle: Axle, setup: Setup) -> None:
    """On flat ground he stands still too; over chop the bars move more than with a stiff rider."""
    ridden = replace(axle, rider_mass=42.0)
    assert np.abs(simulate(lanes_of(ridden, setup), [FLAT]).acceleration).max() < 1e-9
    chop = small_chop(0.35)
    loose, stiff = (
        rms(simulate(lanes_of(end, setup), [chop]).acceleration) for end in (ridden, axle)
    )
    assert loose > 1.2 * stiff
