"""The rides are what they say."""

import numpy as np
import pytest

from diagnose.harshness.live import RIDES
from diagnose.physics.errors import PhysicsError
from diagnose.physics.ride.obstacles import (
    bumps,
    few_obstacles,
    landing,
    square_edge,
    standard_obstacles,
    stones,
)


def strongest_frequency(road: np.ndarray, step: float) -> float:
    """Frequency (Hz) with most energy, slow drift left out."""
    size = np.abs(np.fft.rfft(road - road.mean(), 8 * road.size))
    size[: int(1.0 * 8 * road.size * step)] = 0.0
    return float(np.argmax(size) / (8 * road.size * step))


def test_braking_bumps_come_at_speed_over_spacing() -> None:
    """8 m/s over 1.6 m is 5 Hz."""
    ride = bumps("b", 0.3467, height=0.09, speed=8.0, spacings=(1.6,), duration=4.0)
    assert strongest_frequency(ride.road, ride.time_step) == pytest.approx(5.0, abs=0.2)


def test_chop_is_small_and_quick() -> None:
    """No higher than its height, and in the band of wheel hop."""
    chop = few_obstacles(0.3467, np.random.default_rng(1))[1]
    assert 0.004 < np.ptp(chop.road) <= 0.010
    assert 10.0 < strongest_frequency(chop.road, chop.time_step) < 22.0


def test_stones_are_single_and_low() -> None:
    """None above 30 mm, level ground between them."""
    ride = stones(0.3467, np.random.default_rng(3))
    assert 0.008 < ride.road.max() <= 0.030
    assert np.median(ride.road) < 0.5 * ride.road.max()


def test_edge_ends_on_top() -> None:
    """Up by its height and no further."""
    edge = square_edge(0.3467, height=0.05)
    assert edge.road[-1] == pytest.approx(0.05)
    assert edge.road.max() == pytest.approx(0.05)


def test_landing_falls_away_by_its_drop() -> None:
    """Flat, then gone."""
    drop = landing(drop=0.6)
    assert drop.road[0] == 0.0
    assert np.all(drop.road[50:] == -0.6)


def test_the_standard_set_is_twelve_and_seeded() -> None:
    """Same seed, same ground; another seed, other random ground, and nothing else."""
    one, same, other = (standard_obstacles(0.35, np.random.default_rng(s)) for s in (1, 1, 2))
    assert tuple(o.name for o in one) == RIDES
    assert all(np.array_equal(a.road, b.road) for a, b in zip(one, same, strict=True))
    differ = {a.name for a, b in zip(one, other, strict=True) if not np.array_equal(a.road, b.road)}
    assert differ == {"smooth ground", "worn ground", "rough ground", "stones"}


def test_the_few_are_among_the_standard() -> None:
    few, standard = (f(0.35, np.random.default_rng(1)) for f in (few_obstacles, standard_obstacles))
    by_name = {ride.name: ride for ride in standard}
    assert all(np.array_equal(ride.road, by_name[ride.name].road) for ride in few)


def test_power_lightens_and_brakes_load_the_front() -> None:
    """Exits below, entries above; nothing else shifts load."""
    shifts = {o.name: o.load_shift for o in standard_obstacles(0.35, np.random.default_rng(1))}
    assert shifts["exit chop"] < shifts["exit rollers"] < 0.0
    assert shifts["entry chop"] == shifts["braking bumps"] > 0.0
    assert sum(shift != 0.0 for shift in shifts.values()) == 4


def test_impossible_obstacles_are_refused() -> None:
    """Each message names its value."""
    with pytest.raises(PhysicsError, match="edge height"):
        square_edge(0.35, height=0.4)
    with pytest.raises(PhysicsError, match="bump height"):
        bumps("b", 0.35, height=-0.01, spacings=(0.4,), speed=7.0)
    with pytest.raises(PhysicsError, match="bump spacing"):
        bumps("b", 0.35, height=0.01, spacings=(0.0,), speed=7.0)
    with pytest.raises(PhysicsError, match="drop"):
        landing(drop=-0.5)
    with pytest.raises(PhysicsError, match="too short"):
        landing(drop=2.0, duration=0.5)
