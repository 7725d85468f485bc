"""The budget adds up, leaves innocents out and repeats itself."""

from dataclasses import replace

import numpy as np
import pytest

from diagnose.physics.budget.axle_budget import axle_budget, portions, survey
from diagnose.physics.budget.factors import Factor
from diagnose.physics.budget.unknowns import Unknowns
from diagnose.physics.errors import PhysicsError
from diagnose.physics.ride.axle import Axle, Setup
from diagnose.physics.ride.ground import Obstacle
from diagnose.physics.ride.harshness import harshness
from diagnose.physics.ride.obstacles import square_edge

Ground = tuple[Obstacle, ...]


def test_shares_add_up_to_the_excess_over_each_obstacle(
    axle: Axle, setup: Setup, faulty: Setup, obstacles: Ground, rng: np.random.Generator
) -> None:
    """And the excess is harshness as measured less harshness as it should be."""
    budget = axle_budget(axle, faulty, setup, obstacles, rng, draws=3)
    for obstacle, part in zip(obstacles, budget.obstacles, strict=True):
        assert sum(share.value for share in part.shares) == pytest.approx(part.excess)
        assert part.measured == pytest.approx(harshness(axle, faulty, obstacle))
        assert part.target == pytest.approx(harshness(axle, setup, obstacle))
        assert [share.factor for share in part.shares] == list(Factor)


@pytest.mark.parametrize(
    ("change", "factor"),
    [
        ({"tyre_pressure": 190e3}, Factor.TYRE_PRESSURE),
        ({"low_speed_compression": 2.0}, Factor.LOW_SPEED_COMPRESSION),
        ({"high_speed_compression": 0.25}, Factor.HIGH_SPEED_COMPRESSION),
        ({"rebound": 2.0}, Factor.REBOUND),
        ({"friction": 200.0}, Factor.FRICTION),
        ({"clamp_friction": 90.0}, Factor.FRICTION),
        ({"trapped_pressure": 30e3}, Factor.TRAPPED_AIR),
        ({"oil_raised": 0.03}, Factor.OIL_LEVEL),
        ({"spring_rate": 14e3}, Factor.SPRING),
        ({"spring_preload": 200.0}, Factor.SPRING),
    ],
)
def test_a_single_fault_bears_it_all(
    axle: Axle, setup: Setup, obstacles: Ground, change: dict[str, float], factor: Factor
) -> None:
    """One thing wrong: its share is the excess and every other share is exactly nothing."""
    measured = replace(setup, **change)
    rng = np.random.default_rng(20)
    edge = axle_budget(axle, measured, setup, obstacles[1:], rng, draws=2).obstacles[0]
    assert edge.share(factor).value == pytest.approx(edge.excess)
    assert edge.share(factor).value != 0.0
    for other in Factor:
        if other is not factor:
            share = edge.share(other)
            assert (share.value, share.low, share.high) == (0.0, 0.0, 0.0)


def test_nothing_wrong_is_no_budget(
    axle: Axle, setup: Setup, obstacles: Ground, rng: np.random.Generator
) -> None:
    """A bike as it should be has no excess and no shares."""
    for part in axle_budget(axle, setup, setup, obstacles, rng, draws=2).obstacles:
        assert part.excess == 0.0
        assert all(share.value == 0.0 for share in part.shares)


def test_swapping_measured_and_target_turns_every_sign(
    axle: Axle, setup: Setup, faulty: Setup, obstacles: Ground
) -> None:
    """The share of putting right is the share of having gone wrong."""
    there, back = (
        axle_budget(axle, a, b, obstacles[:1], np.random.default_rng(1), draws=1).obstacles[0]
        for a, b in ((faulty, setup), (setup, faulty))
    )
    for one, other in zip(there.shares, back.shares, strict=True):
        assert one.value == pytest.approx(-other.value, abs=1e-9)


def test_same_seed_same_band_other_seed_other_band(
    axle: Axle, setup: Setup, faulty: Setup, obstacles: Ground
) -> None:
    """The generator decides the band; the best guess never moves."""
    one, same, other = (
        axle_budget(axle, faulty, setup, obstacles[1:], np.random.default_rng(s), draws=4)
        for s in (1, 1, 2)
    )
    assert one == same
    a, b = one.obstacles[0], other.obstacles[0]
    assert a.excess == b.excess
    assert (a.excess_low, a.excess_high) != (b.excess_low, b.excess_high)


def test_without_unknowns_the_band_closes(
    axle: Axle, setup: Setup, faulty: Setup, obstacles: Ground, rng: np.random.Generator
) -> None:
    """No doubt put in, no doubt comes out."""
    certain = Unknowns(**dict.fromkeys(Unknowns.__slots__, 0.0))
    part = axle_budget(
        axle, faulty, setup, obstacles[1:], rng, unknowns=certain, draws=3
    ).obstacles[0]
    assert part.excess_low == pytest.approx(part.excess)
    for share in part.shares:
        assert share.low == pytest.approx(share.value)
        assert share.high == pytest.approx(share.value)


@pytest.mark.parametrize(("differing", "draws"), [(8, 8), (7, 16), (5, 64), (1, 64)])
def test_fewer_faults_leave_room_for_more_draws(
    axle: Axle, setup: Setup, faulty: Setup, differing: int, draws: int
) -> None:
    """Left out, the number of draws is the one that keeps the work alike."""
    names = [*list(Setup.__dataclass_fields__)[:7], "oil_raised"]
    wrong = replace(faulty, oil_raised=0.02)
    measured = replace(wrong, **{name: getattr(setup, name) for name in names[differing:]})
    ground = (square_edge(0.35, duration=0.2),)
    left_out, said = (
        axle_budget(axle, measured, setup, ground, np.random.default_rng(5), draws=d)
        for d in (None, draws)
    )
    assert left_out == said


def test_the_air_outside_is_nobodys_fault(
    axle: Axle, setup: Setup, obstacles: Ground, rng: np.random.Generator
) -> None:
    """A target written down at sea level is ridden where the bike was measured."""
    measured = replace(setup, air_pressure=84_556.0, friction=150.0)
    at_sea_level, at_the_place = (
        axle_budget(axle, measured, target, obstacles[1:], rng, draws=1)
        for target in (setup, replace(setup, air_pressure=84_556.0))
    )
    assert at_sea_level == at_the_place
    assert at_sea_level.over("square edge").excess > 0.0


def test_impossible_budgets_are_refused(
    axle: Axle, setup: Setup, faulty: Setup, obstacles: Ground, rng: np.random.Generator
) -> None:
    """Each message names its value."""
    with pytest.raises(PhysicsError, match="0 obstacles"):
        axle_budget(axle, faulty, setup, (), rng)
    with pytest.raises(PhysicsError, match="0 draws"):
        axle_budget(axle, faulty, setup, obstacles, rng, draws=0)
    budget = axle_budget(axle, setup, setup, obstacles, rng, draws=1)
    with pytest.raises(PhysicsError, match="there are small chop, square edge"):
        budget.over("whoops")


def test_shares_lie_between_nothing_and_all(
    axle: Axle, setup: Setup, obstacles: Ground, rng: np.random.Generator
) -> None:
    """What softens has no share, however little is left over: no range can run to -913 %."""
    measured = replace(setup, tyre_pressure=95e3, low_speed_compression=18.0, friction=75.0)
    budget = axle_budget(axle, measured, setup, obstacles, rng, draws=32)
    groups = [(factor,) for factor in Factor]
    shares = portions(budget.obstacles, groups)
    assert shares is not None
    assert sum(share.middle for share in shares) == pytest.approx(1.0)
    for share in shares:
        assert 0.0 <= share.low <= share.high <= 1.0
    assert shares[list(Factor).index(Factor.LOW_SPEED_COMPRESSION)].middle == 0.0


def test_a_survey_is_each_ride_and_knows_the_worst(
    axle: Axle, setup: Setup, obstacles: Ground, rng: np.random.Generator
) -> None:
    hard = replace(setup, tyre_pressure=190e3)
    found = survey(axle, hard, setup, obstacles, rng, draws=3)
    for obstacle in obstacles:
        ratio = harshness(axle, hard, obstacle) / harshness(axle, setup, obstacle)
        assert found.excess(obstacle.name)[0] == pytest.approx(ratio - 1.0)
    assert found.worst == "small chop"
    assert found.bottomed == frozenset()
