"""Draws of what nobody measured."""

from dataclasses import fields

import numpy as np
import pytest

from diagnose.physics.budget.unknowns import Unknowns, draw
from diagnose.physics.errors import PhysicsError


def test_the_first_draw_is_the_best_guess() -> None:
    """All ones, then spread."""
    scales = draw(Unknowns(), 50, np.random.default_rng(1))
    for item in fields(scales):
        column = getattr(scales, item.name)
        assert column[0] == 1.0
        assert np.unique(column).size == 50
        assert np.all(column > 0.0)


def test_spread_is_what_was_asked_for() -> None:
    """Standard deviation of the logarithm, a little short for the held tails."""
    scales = draw(Unknowns(damping=0.2), 20_000, np.random.default_rng(2))
    assert np.std(np.log(scales.damping)) == pytest.approx(0.2, rel=0.05)
    assert np.median(scales.damping) == pytest.approx(1.0, abs=0.01)
    assert np.abs(np.log(scales.damping)).max() <= 0.5 + 1e-12


def test_same_seed_same_draws() -> None:
    """Nothing but the generator decides."""
    one, two = (draw(Unknowns(), 8, np.random.default_rng(9)) for _ in range(2))
    assert np.array_equal(one.friction, two.friction)


def test_no_spread_is_no_doubt() -> None:
    """Zero spread gives ones."""
    scales = draw(Unknowns(friction=0.0), 8, np.random.default_rng(9))
    assert np.all(scales.friction == 1.0)


def test_impossible_draws_are_refused() -> None:
    """Each message names its value."""
    with pytest.raises(PhysicsError, match="spread of damping"):
        Unknowns(damping=-0.1)
    with pytest.raises(PhysicsError, match="0 draws"):
        draw(Unknowns(), 0, np.random.default_rng(1))
