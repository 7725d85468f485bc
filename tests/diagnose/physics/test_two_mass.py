"""The closed forms, and the simulation held against them."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.physics.arrays import FloatArray
from diagnose.physics.damping.damping_curve import DampingCurve
from diagnose.physics.damping.two_mass import TwoMass, damping_for_ratio, natural_frequencies
from diagnose.physics.errors import PhysicsError
from diagnose.physics.ride.axle import AirColumn, Axle, Setup
from diagnose.physics.ride.ground import Obstacle
from diagnose.physics.ride.lanes import SetupLanes, UnknownScales, build_lanes
from diagnose.physics.ride.quarter_car import simulate


def road_to_body(model: TwoMass, frequency: FloatArray) -> FloatArray:
    """Return the size of body movement per unit of road movement at each frequency (Hz).

    The same number is body acceleration over road acceleration.

    Source: transfer function of the linear equations (computed).
    """
    s = 2j * np.pi * frequency
    k, c = model.spring_rate, model.damping
    spring = k + c * s
    tyre = model.tyre_stiffness + model.tyre_damping * s
    body = model.sprung_mass * s**2 + spring
    wheel = model.unsprung_mass * s**2 + spring + tyre
    size: FloatArray = np.abs(spring * tyre / (body * wheel - spring**2))
    return size


@given(st.floats(50.0, 400.0), st.floats(10.0, 50.0), st.floats(5e3, 40e3), st.floats(50e3, 300e3))
def test_frequencies_are_the_eigenvalues(
    sprung: float, unsprung: float, spring: float, tyre: float
) -> None:
    """The quadratic's roots are what a general eigenvalue routine finds."""
    model = TwoMass(sprung, unsprung, spring, 0.0, tyre)
    stiffness = np.array([[spring, -spring], [-spring, spring + tyre]])
    found = np.linalg.eigvals(np.diag([1.0 / sprung, 1.0 / unsprung]) @ stiffness)
    expected = np.sort(np.sqrt(found.real)) / (2.0 * math.pi)
    assert natural_frequencies(model) == pytest.approx(tuple(expected))


def test_soft_road_motion_passes_whole() -> None:
    """Very slowly, the body follows the road exactly; very fast, not at all."""
    model = TwoMass(80.0, 15.0, 12e3, 600.0, 95e3)
    slow, fast = road_to_body(model, np.array([1e-4, 500.0]))
    assert slow == pytest.approx(1.0, abs=1e-6)
    assert fast < 1e-3


def linear(axle: Axle, damping: float) -> Axle:
    """The end with one damping slope, no air and no stop in reach."""
    return replace(
        axle,
        damping=DampingCurve.straight(damping),
        air=AirColumn(area=0.0, length=1.0),
        bump_stiffness=0.0,
    )


@pytest.mark.parametrize("frequency", [1.0, 1.9, 4.0, 8.0, 13.0, 20.0])
@pytest.mark.parametrize("damping", [300.0, 800.0, 2_000.0])
def test_simulation_in_its_linear_limit_is_the_transfer_function(
    axle: Axle, setup: Setup, frequency: float, damping: float
) -> None:
    """Steady sine over gentle ground, at the step used for budgets, to 1 %."""
    end = linear(axle, damping)
    calm = replace(setup, friction=0.0)
    lanes = build_lanes(end, SetupLanes.of([calm]), UnknownScales.ones(1))
    model = TwoMass(
        end.sprung_mass,
        end.unsprung_mass,
        calm.spring_rate,
        damping,
        float(lanes.tyre_stiffness[0]),
        float(lanes.tyre_damping[0]),
    )
    dt, amplitude = 0.002, 0.001
    settle = 6.0
    cycles = math.ceil(2.0 * frequency)
    count = round((settle + cycles / frequency) / dt)
    time = np.arange(count) * dt
    ramp = np.minimum(time / 2.0, 1.0)
    sine = amplitude * ramp * np.sin(2.0 * np.pi * frequency * time)
    motion = simulate(lanes, [Obstacle("sine", sine, dt)])
    tail = time >= settle
    phase = 2.0 * np.pi * frequency * time[tail]
    basis = np.column_stack([np.sin(phase), np.cos(phase)])
    parts, *_ = np.linalg.lstsq(basis, motion.acceleration[tail, 0], rcond=None)
    found = float(np.hypot(*parts))
    road = amplitude * (2.0 * np.pi * frequency) ** 2
    expected = float(road_to_body(model, np.array([frequency]))[0])
    assert found / road == pytest.approx(expected, rel=0.01)


def test_damping_for_ratio_is_critical_at_one() -> None:
    """At a ratio of one the single-mass equation has one double root."""
    mass, rate = 80.0, 12e3
    critical = damping_for_ratio(1.0, mass, rate)
    assert critical**2 == pytest.approx(4.0 * mass * rate)
    assert damping_for_ratio(0.0, mass, rate) == 0.0


def test_impossible_models_are_refused() -> None:
    """Each message names its value."""
    with pytest.raises(PhysicsError, match="unsprung mass"):
        TwoMass(80.0, 0.0, 12e3, 600.0, 95e3)
    with pytest.raises(PhysicsError, match="damping"):
        TwoMass(80.0, 15.0, 12e3, -600.0, 95e3)
    with pytest.raises(PhysicsError, match="damping ratio"):
        damping_for_ratio(-0.1, 80.0, 12e3)


@pytest.mark.parametrize(
    ("model", "body", "hop"),
    [
        (TwoMass(78.0, 15.0, 11_900.0, 0.0, 95e3), 1.85, 13.4),
        (TwoMass(100.0, 20.0, 8_900.0, 0.0, 105e3), 1.44, 12.0),
    ],
)
def test_off_road_estimate(model: TwoMass, body: float, hop: float) -> None:
    """Source: computed by hand from printed spring rates (Yamaha WR450F 2016 p. 2-9, seen)."""
    assert natural_frequencies(model) == pytest.approx((body, hop), abs=0.06)


def test_damping_for_the_usual_ratios() -> None:
    """Source: computed by hand, 2 ζ √(k m), front of the estimate above."""
    found = [damping_for_ratio(ratio, 78.0, 11_900.0) for ratio in (0.2, 0.3, 0.4, 0.5)]
    assert found == pytest.approx([385.0, 577.0, 769.0, 962.0], abs=2.0)
