"""Energy in is energy stored and turned to heat: the books, and what they must say."""

from dataclasses import dataclass, replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.physics.arrays import FloatArray
from diagnose.physics.atmosphere import STANDARD_GRAVITY
from diagnose.physics.damping.damping_curve import DampingCurve
from diagnose.physics.ride.axle import AirColumn, Axle, Setup
from diagnose.physics.ride.ground import Obstacle
from diagnose.physics.ride.lanes import Lanes, SetupLanes, UnknownScales, build_lanes
from diagnose.physics.ride.obstacles import bumps, standard_obstacles
from diagnose.physics.ride.quarter_car import Motion, simulate
from diagnose.physics.ride.suspension import LEAST_AIR, Suspension
from tests.reference_setup import reference_bike, reference_setup


def stored_energy(law: Suspension, travel: FloatArray) -> FloatArray:
    """Return the energy (J) stored from 0 to ``travel`` (m).

    Source: integral of `Suspension.force` (computed).
    """
    energy: FloatArray = law.spring_preload * travel + 0.5 * law.spring_rate * travel**2
    energy += law.bump_stiffness / 3.0 * np.maximum(travel - law.bump_start, 0.0) ** 3
    energy += 0.5 * law.top_out_stiffness * np.minimum(travel, 0.0) ** 2
    if law.has_air:
        left, power = np.maximum(1.0 - travel / law.air_length, LEAST_AIR), law.air_exponent - 1.0
        squeezed = -np.log(left) if power == 0.0 else (left**-power - 1.0) / power
        energy += law.air_absolute * law.air_length * squeezed - law.air_outside * travel
    return energy


@dataclass(frozen=True, slots=True)
class EnergyBalance:
    """Energy (J) of a run from its first to its last step, one entry a lane.

    Attributes:
        from_ground: work of the ground on the bike.
        stored: growth of movement, height, spring, air and stop energy.
        damper_heat: heat in damper and friction, never negative.
        residual: from_ground - stored - damper_heat.
        turnover: size the residual is to be judged against: all energy that changed hands.
    """

    from_ground: FloatArray
    stored: FloatArray
    damper_heat: FloatArray
    residual: FloatArray
    turnover: FloatArray

    @property
    def relative_error(self) -> FloatArray:
        """Size of the residual as a share of the turnover."""
        error: FloatArray = np.abs(self.residual) / self.turnover
        return error


def energy_balance(lanes: Lanes, motion: Motion) -> EnergyBalance:
    """Return the energy balance of a run made with traces.

    The tyre belongs to the ground here: its force works on the axle's movement, so what it
    stores and loses is inside ``from_ground``.

    Source: trapezoidal sums of force times speed against the change of stored energy.
    """
    traces = motion.traces
    assert traces is not None, "simulate with traces"
    dt = motion.time_step

    def work(power: FloatArray) -> FloatArray:
        total: FloatArray = dt * (power.sum(axis=0) - 0.5 * (power[0] + power[-1]))
        return total

    body = traces.axle - traces.travel
    body_speed = traces.axle_speed - traces.travel_speed

    def store(row: int) -> FloatArray:
        moving = lanes.sprung_mass * body_speed[row] ** 2
        moving = moving + lanes.unsprung_mass * traces.axle_speed[row] ** 2
        height = lanes.sprung_mass * body[row] + lanes.unsprung_mass * traces.axle[row]
        held: FloatArray = 0.5 * moving + STANDARD_GRAVITY * height
        return held + stored_energy(lanes.suspension, traces.travel[row])

    ground_power = traces.tyre_force * traces.axle_speed
    heat_power = (traces.damper_force + traces.friction_force) * traces.travel_speed
    from_ground, damper_heat = work(ground_power), work(heat_power)
    stored = store(-1) - store(0)
    return EnergyBalance(
        from_ground=from_ground,
        stored=stored,
        damper_heat=damper_heat,
        residual=from_ground - stored - damper_heat,
        turnover=work(np.abs(ground_power)) + damper_heat,
    )


def lanes_of(axle: Axle, setup: Setup) -> Lanes:
    """One lane with nothing unknown."""
    return build_lanes(axle, SetupLanes.of([setup]), UnknownScales.ones(1))


@pytest.mark.parametrize("number", range(12))
@pytest.mark.parametrize("end", ["front", "rear"])
def test_the_books_balance_over_every_obstacle(number: int, end: str) -> None:
    """To a thousandth of what changed hands, at the step used, friction, air and stops included."""
    # the books are kept without power, brakes and a rider who gives
    axle = replace(getattr(reference_bike(), end), rider_mass=0.0)
    setup = getattr(reference_setup(), end)
    obstacle = standard_obstacles(axle.wheel_radius, np.random.default_rng(4))[number]
    obstacle = replace(obstacle, load_shift=0.0)
    lanes = lanes_of(axle, setup)
    balance = energy_balance(lanes, simulate(lanes, [obstacle], with_traces=True))
    assert balance.turnover[0] > 10.0
    assert balance.relative_error[0] < 0.001
    assert balance.damper_heat[0] > 0.0


def test_a_finer_step_balances_better() -> None:
    """The error shrinks with the step: it is the method's, not a missing force."""
    axle, setup = replace(reference_bike().front, rider_mass=0.0), reference_setup().front
    lanes = lanes_of(axle, setup)
    errors = []
    for step in (0.004, 0.001, 0.00025):
        ride = bumps(
            "b", axle.wheel_radius, height=0.09, spacings=(1.6,), speed=8.0, time_step=step
        )
        motion = simulate(lanes, [ride], with_traces=True)
        errors.append(energy_balance(lanes, motion).relative_error[0])
    assert errors[2] < errors[1] < errors[0]
    assert errors[2] < 0.02 * errors[0]


def test_without_damping_nothing_turns_to_heat(axle: Axle, setup: Setup) -> None:
    """A lossless end set swinging keeps its energy for two seconds."""
    loss_free = replace(axle, damping=DampingCurve.straight(1e-9), tyre_damping=0.0)
    lanes = lanes_of(loss_free, replace(setup, friction=0.0))
    bump = np.zeros(1_000)
    bump[:100] = 0.01 * (1.0 - np.cos(np.linspace(0.0, 2.0 * np.pi, 100))) / 2.0
    motion = simulate(lanes, [Obstacle("bump", bump)], with_traces=True)
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
    motion = simulate(lanes, [Obstacle("step", road)], with_traces=True)
    right = lanes.suspension
    wrong = replace(right, spring_rate=right.spring_rate * 1.05)
    honest = energy_balance(lanes, motion).relative_error[0]
    cooked = energy_balance(replace(lanes, suspension=wrong), motion)
    assert cooked.relative_error[0] > 3.0 * honest


@given(travel=st.floats(-0.03, 0.30))
def test_force_is_the_slope_of_the_energy(travel: float) -> None:
    """Central difference of the stored energy gives the force, stops included."""
    lanes = lanes_of(reference_bike().front, reference_setup().front)
    step = 1e-6
    at = [stored_energy(lanes.suspension, np.array([travel + s])) for s in (step, -step)]
    slope = (at[0] - at[1]) / (2.0 * step)
    assert slope[0] == pytest.approx(lanes.suspension.force(np.array([travel]))[0], abs=0.2)


def test_isothermal_air_has_its_own_energy(axle: Axle, setup: Setup) -> None:
    """Exponent 1 is the logarithm, not a division by nothing."""
    slow = replace(axle, air=AirColumn(area=0.004, length=0.36, exponent=1.0))
    nearly = replace(axle, air=AirColumn(area=0.004, length=0.36, exponent=1.000001))
    travel = np.array([0.2])
    assert stored_energy(lanes_of(slow, setup).suspension, travel) == pytest.approx(
        stored_energy(lanes_of(nearly, setup).suspension, travel), rel=1e-5
    )
