"""What riders and technicians know must come out of the model.

Source of the facts: common practice of the trade. The bike is the stand-in of
`reference_bike`, so the sizes are the model's; the directions are the trade's.
"""

from dataclasses import replace

import numpy as np
import pytest

from diagnose.physics.budget.axle_budget import axle_budget
from diagnose.physics.budget.factors import Factor
from diagnose.physics.ride.axle import Setup
from diagnose.physics.ride.ground import Obstacle
from diagnose.physics.ride.harshness import harshness
from diagnose.physics.ride.obstacles import standard_obstacles
from tests.reference_setup import reference_bike, reference_setup

PSI = 6_894.757
FRONT, SETUP = reference_bike().front, reference_setup().front


@pytest.fixture(scope="module")
def ground() -> dict[str, Obstacle]:
    """The standard obstacles by name."""
    made = standard_obstacles(FRONT.wheel_radius, np.random.default_rng(11))
    return {obstacle.name: obstacle for obstacle in made}


def rise(setup: Setup, obstacle: Obstacle) -> float:
    """How much harsher than as it should be, as a share."""
    return harshness(FRONT, setup, obstacle) / harshness(FRONT, SETUP, obstacle) - 1.0


@pytest.mark.parametrize(("hard", "soft"), [(25.0, 13.0), (30.0, 12.0), (27.5, 12.5)])
def test_a_tyre_at_road_pressure_is_plainly_harsher_in_small_bumps(
    ground: dict[str, Obstacle], hard: float, soft: float
) -> None:
    """25 to 30 psi against 12 to 13 psi: half as much again over chop, a tenth over an edge."""
    for ride, least in (("small chop", 1.5), ("square edge", 1.1)):
        values = [
            harshness(FRONT, replace(SETUP, tyre_pressure=psi * PSI), ground[ride])
            for psi in (hard, soft)
        ]
        assert values[0] > least * values[1]


def test_a_hard_tyre_is_felt_more_in_small_stuff_than_in_a_landing(
    ground: dict[str, Obstacle],
) -> None:
    """The tyre is the suspension of small things."""
    hard = replace(SETUP, tyre_pressure=27.5 * PSI)
    assert rise(hard, ground["small chop"]) > 2.0 * rise(hard, ground["landing"]) > 0.0


@pytest.mark.parametrize("friction", [120.0, 180.0, 240.0])
def test_bound_clamps_are_felt_more_on_smooth_ground_than_in_big_hits(
    ground: dict[str, Obstacle], friction: float
) -> None:
    """Friction counts most where forces are small."""
    bound = replace(SETUP, friction=friction)
    smooth, worn, landing = (
        rise(bound, ground[name]) for name in ("smooth ground", "worn ground", "landing")
    )
    assert smooth > worn > landing
    assert smooth > 0.10


def test_air_in_the_fork_is_felt_on_the_power(ground: dict[str, Obstacle]) -> None:
    """Where the front is light and stands on its top-out; loaded it hardly shows."""
    blown = replace(SETUP, trapped_pressure=30e3)
    assert rise(blown, ground["exit chop"]) > 0.08
    assert rise(blown, ground["braking bumps"]) < 0.04


def test_a_needle_is_felt_on_smooth_ground_and_shims_in_big_bumps(
    ground: dict[str, Obstacle],
) -> None:
    """The low-speed share is the greater on smooth ground, the high-speed share over rollers."""
    stiff = replace(SETUP, low_speed_compression=4.0, high_speed_compression=0.5)
    rides = (ground["smooth ground"], ground["entry chop"])
    budget = axle_budget(FRONT, stiff, SETUP, rides, np.random.default_rng(1), draws=1)
    low, high = Factor.LOW_SPEED_COMPRESSION, Factor.HIGH_SPEED_COMPRESSION
    smooth, rollers = budget.obstacles
    assert smooth.share(low).value > 3.0 * abs(smooth.share(high).value)
    assert rollers.share(high).value > rollers.share(low).value > 0.0


def test_a_bike_wrong_all_over_still_gives_the_tyre_first_place_in_chop(
    ground: dict[str, Obstacle],
) -> None:
    """Road pressure outweighs a handful of clicks: look at the gauge before the clickers."""
    wrong = replace(
        SETUP,
        tyre_pressure=27.0 * PSI,
        low_speed_compression=6.0,
        rebound=9.0,
        friction=100.0,
        trapped_pressure=10e3,
    )
    budget = axle_budget(
        FRONT, wrong, SETUP, (ground["small chop"],), np.random.default_rng(1), draws=9
    )
    chop = budget.over("small chop")
    assert max(chop.shares, key=lambda share: share.value).factor is Factor.TYRE_PRESSURE
    others = [share.high for share in chop.shares if share.factor is not Factor.TYRE_PRESSURE]
    assert chop.share(Factor.TYRE_PRESSURE).low > max(others)
