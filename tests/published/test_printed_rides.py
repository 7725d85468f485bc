"""The rides against findings in print: how friction, a bleed, a tyre and the ground act on a ride.

No dynamometer curve of an off-road damper by click and no friction of an off-road fork in newtons
was found in print, so these are directions and orders of size, not the model's own numbers. All
sources were seen as abstracts only.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest

from diagnose.physics.arrays import FloatArray
from diagnose.physics.ride.axle import Setup
from diagnose.physics.ride.force_and_rim import rim_edges
from diagnose.physics.ride.ground import Obstacle
from diagnose.physics.ride.harshness import harshness_of_lanes
from diagnose.physics.ride.lanes import SetupLanes, UnknownScales, build_lanes
from diagnose.physics.ride.obstacles import standard_obstacles
from diagnose.physics.ride.quarter_car import simulate
from diagnose.physics.ride.rough_ground import RoadClass, rolling_ground
from diagnose.physics.ride.weighting import WH, weighted
from tests.reference_setup import reference_bike, reference_setup

FRONT, SETUP = reference_bike().front, reference_setup().front
CLASSES = (RoadClass.C, RoadClass.D, RoadClass.E)


def grounds(road_class: RoadClass, speed: float) -> list[Obstacle]:
    """Three grounds of a class."""
    return [
        rolling_ground(
            f"{road_class}{seed}", FRONT.wheel_radius, np.random.default_rng(seed),
            road_class=road_class, speed=speed, duration=3.0,
        )
        for seed in range(3)
    ]  # fmt: skip


def felt(setups: Sequence[Setup], rides: Sequence[Obstacle]) -> FloatArray:
    """Harshness of each setup, a mean of the rides."""
    lanes = build_lanes(FRONT, SetupLanes.of(setups), UnknownScales.ones(len(setups)))
    mean: FloatArray = harshness_of_lanes(lanes, FRONT.contact, rides).mean(axis=0)
    return mean


def test_vibration_grows_in_line_with_friction_and_most_on_smooth_roads() -> None:
    """L. Deubel, S. Schneider and G. Prokop, "Effect of Shock Absorber Friction on Vehicle Vertical
    Dynamics", 2024, doi 10.4271/10-08-02-0010, abstract: ride comfort falls in line with added
    friction on every road tried; the part of friction is remarkably high on smooth roads and still
    considerable on bumpy ones."""
    added = (0.0, 40.0, 80.0, 120.0)
    setups = [replace(SETUP, friction=SETUP.friction + more) for more in added]
    rise = []
    for road_class in CLASSES:
        values = felt(setups, grounds(road_class, 10.0))
        assert np.corrcoef(added, values)[0, 1] > 0.98
        rise.append(values[-1] / values[0] - 1.0)
    assert rise[0] > rise[1] > rise[2] > 0.05


def test_a_bleed_counts_most_slowly_and_on_even_ground() -> None:
    """J. L. Chacón, B. L. Boada, M. J. L. Boada and V. Díaz, "Experimental study and analytical
    model of bleed valve orifice influence of a high-performance shock absorber on vehicle
    dynamics", 2017, Advances in Mechanical Engineering 9(9), abstract: the influence of the bleed
    is magnified at low speed and on roads with few variations, and less with speed and
    roughness."""
    setups = [SETUP, replace(SETUP, low_speed_compression=0.0)]

    def shut(road_class: RoadClass, speed: float) -> float:
        plain, closed = felt(setups, grounds(road_class, speed))
        return float(closed / plain - 1.0)

    by_class = [shut(road_class, 10.0) for road_class in CLASSES]
    assert by_class == sorted(by_class, reverse=True)
    by_speed = [shut(RoadClass.C, speed) for speed in (5.0, 10.0, 20.0)]
    assert by_speed == sorted(by_speed, reverse=True)
    assert by_speed[0] > 2.0 * by_speed[2] > 0.0


@pytest.mark.parametrize(
    ("road_class", "printed"),
    [(RoadClass.C, 2.56), (RoadClass.D, 7.04), (RoadClass.E, 10.76)],
)
def test_the_bars_shake_as_much_as_those_of_a_mountain_bike(
    road_class: RoadClass, printed: float
) -> None:
    """P. Arpinar-Avsar, G. Birlik, Ö. C. Sezgin and A. R. Soylu, 2013, Journal of Sports Science
    and Medicine 12:512-520, abstract: r.m.s. acceleration upward at the stem at most 2.56 m/s² on
    asphalt, 7.04 on concrete paving and 10.76 on rough road. Another vehicle at another speed, and
    the classes are our own reading of its roads: within a factor of two."""
    lanes = build_lanes(FRONT, SetupLanes.of([SETUP]), UnknownScales.ones(1))
    motion = simulate(lanes, grounds(road_class, 8.0)[:1])
    found = float(np.std(motion.acceleration[:, 0]))
    assert printed / 2.0 < found < 2.0 * printed


def test_a_day_of_enduro_is_of_the_size_that_was_measured() -> None:
    """L. Kirkwood, 2020, on mountain bike enduro: 5.8 m/s² as frequency-weighted hand-arm exposure
    over a day (abstract seen at second hand). Ride by ride the model lies on both sides of it."""
    lanes = build_lanes(FRONT, SetupLanes.of([SETUP]), UnknownScales.ones(1))
    sizes = []
    for ride in standard_obstacles(FRONT.wheel_radius, np.random.default_rng(8608)):
        acceleration = simulate(lanes, [ride]).acceleration[:, 0]
        sizes.append(float(np.std(weighted(acceleration, ride.time_step, WH))))
    assert min(sizes) < 5.8 < max(sizes)
    assert 0.5 * 5.8 < float(np.median(sizes)) < 1.5 * 5.8


def test_lower_pressure_calms_the_hands_until_the_rim_is_met() -> None:
    """Macdermid, 2015, and Crenna, 2025, Eng 6:245, on mountain bikes: less pressure, less vibration
    at the hands and fewer impacts (abstracts seen at second hand). Below, the rim."""
    psi = 6_894.757
    setups = [replace(SETUP, tyre_pressure=p * psi) for p in (8.0, 12.5, 17.0, 25.0)]
    values = felt(setups, grounds(RoadClass.C, 8.0))
    assert list(values) == sorted(values)
    edges = rim_edges(FRONT, setups[:2])
    assert edges[0] is not None
    assert edges[1] is not None
    assert edges[0] < edges[1]
