"""The five obstacles are what they say."""

import numpy as np
import pytest

from diagnose.physics.errors import PhysicsError
from diagnose.physics.ride.obstacles import (
    braking_bumps,
    landing,
    small_chop,
    square_edge,
    standard_obstacles,
)


def strongest_frequency(road: np.ndarray, step: float) -> float:
    """Frequency (Hz) with most energy, slow drift left out."""
    size = np.abs(np.fft.rfft(road - road.mean(), 8 * road.size))
    size[: int(1.0 * 8 * road.size * step)] = 0.0
    return float(np.argmax(size) / (8 * road.size * step))


def test_braking_bumps_come_at_speed_over_spacing() -> None:
    """8 m/s over 1.6 m is 5 Hz."""
    bumps = braking_bumps(0.3467, speed=8.0, spacing=1.6, duration=4.0)
    assert strongest_frequency(bumps.road, bumps.time_step) == pytest.approx(5.0, abs=0.2)


def test_chop_is_small_and_quick() -> None:
    """No higher than its height, and in the band of wheel hop."""
    chop = small_chop(0.3467)
    assert 0.004 < np.ptp(chop.road) <= 0.010
    assert 10.0 < strongest_frequency(chop.road, chop.time_step) < 22.0


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


def test_standard_set_is_five_and_seeded() -> None:
    """Same seed, same ground; another seed, other ground; the first four never vary."""
    one, same, other = (standard_obstacles(0.35, np.random.default_rng(s)) for s in (1, 1, 2))
    assert [o.name for o in one] == [
        "small chop",
        "square edge",
        "braking bumps",
        "landing",
        "rolling ground",
    ]
    assert all(np.array_equal(a.road, b.road) for a, b in zip(one, same, strict=True))
    assert [np.array_equal(a.road, b.road) for a, b in zip(one, other, strict=True)] == [
        True,
        True,
        True,
        True,
        False,
    ]


def test_impossible_obstacles_are_refused() -> None:
    """Each message names its value."""
    with pytest.raises(PhysicsError, match="edge height"):
        square_edge(0.35, height=0.4)
    with pytest.raises(PhysicsError, match="bump height"):
        small_chop(0.35, height=-0.01)
    with pytest.raises(PhysicsError, match="bump spacing"):
        braking_bumps(0.35, spacing=0.0)
    with pytest.raises(PhysicsError, match="drop"):
        landing(drop=-0.5)
    with pytest.raises(PhysicsError, match="too short"):
        landing(drop=2.0, duration=0.5)
