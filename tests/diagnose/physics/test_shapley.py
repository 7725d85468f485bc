"""The axioms of the Shapley value, by property."""

from itertools import permutations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.physics.budget.shapley import shapley_values
from diagnose.physics.errors import PhysicsError

games = st.integers(1, 5).flatmap(
    lambda players: st.lists(st.floats(-100.0, 100.0), min_size=1 << players, max_size=1 << players)
)


@given(games)
def test_shares_add_up_to_the_whole(worth: list[float]) -> None:
    """Efficiency."""
    game = np.array(worth)
    assert shapley_values(game).sum() == pytest.approx(game[-1] - game[0], abs=1e-9)


@given(games)
def test_it_is_the_mean_over_every_order(worth: list[float]) -> None:
    """The defining sum, counted out order by order."""
    game = np.array(worth)
    players = len(worth).bit_length() - 1
    total = np.zeros(players)
    orders = list(permutations(range(players)))
    for order in orders:
        present = 0
        for player in order:
            total[player] += game[present | 1 << player] - game[present]
            present |= 1 << player
    assert shapley_values(game) == pytest.approx(total / len(orders), abs=1e-9)


@given(games, st.data())
def test_a_player_that_adds_nothing_gets_nothing(worth: list[float], data: st.DataObject) -> None:
    """Null player."""
    game = np.array(worth)
    player = data.draw(st.integers(0, len(worth).bit_length() - 2))
    for number in range(len(worth)):
        if number >> player & 1:
            game[number] = game[number & ~(1 << player)]
    assert shapley_values(game)[player] == pytest.approx(0.0, abs=1e-12)


@given(st.lists(st.floats(-100.0, 100.0), min_size=16, max_size=16))
def test_players_that_act_alike_share_alike(worth: list[float]) -> None:
    """Symmetry of the first two players."""
    game = np.array(worth)
    for number in range(16):
        if number & 0b11 == 0b10:
            game[number] = game[number ^ 0b11]
    shares = shapley_values(game)
    assert shares[0] == pytest.approx(shares[1], abs=1e-9)


@given(games, st.floats(-3.0, 3.0))
def test_games_played_together_add(worth: list[float], factor: float) -> None:
    """Linearity, and many games at once are the games one by one."""
    game = np.array(worth)
    both = shapley_values(np.stack([game, factor * game], axis=1))
    assert both[:, 0] == pytest.approx(shapley_values(game), abs=1e-9)
    assert both[:, 1] == pytest.approx(factor * both[:, 0], abs=1e-9)


@pytest.mark.parametrize("count", [0, 1, 3, 6, 127])
def test_missing_coalitions_are_refused(count: int) -> None:
    """All of them, or none."""
    with pytest.raises(PhysicsError, match=f"{count} coalitions"):
        shapley_values(np.zeros(count))
