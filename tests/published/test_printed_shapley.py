"""Shapley values against worked games with printed answers."""

import numpy as np
import pytest

from diagnose.physics.arrays import FloatArray
from diagnose.physics.budget.shapley import shapley_values


def game(worth: dict[tuple[int, ...], float], players: int) -> FloatArray:
    """Worth by coalition of player numbers from 1, nobody worth nothing."""
    values = np.zeros(1 << players)
    for members, value in worth.items():
        values[sum(1 << (member - 1) for member in members)] = value
    return values


def test_glove_game() -> None:
    """Two right-hand gloves, one left: 1/6, 1/6, 2/3.

    Source: "Shapley value", Wikipedia, section "Glove game" (seen).
    """
    shares = shapley_values(game({(1, 3): 1.0, (2, 3): 1.0, (1, 2, 3): 1.0}, 3))
    assert shares == pytest.approx([1 / 6, 1 / 6, 2 / 3])


def test_airport_game() -> None:
    """Runways of 40 to 90 units: (40, 52, 67, 87, 117, 177) / 6.

    Source: answer to "Calculate the Shapley value of the Airport Game", a public mathematics
    question (seen).
    """
    costs = (40.0, 50.0, 60.0, 70.0, 80.0, 90.0)
    worth = np.array(
        [max((costs[i] for i in range(6) if number >> i & 1), default=0.0) for number in range(64)]
    )
    expected = np.array([40.0, 52.0, 67.0, 87.0, 117.0, 177.0]) / 6.0
    assert shapley_values(worth) == pytest.approx(expected)


def test_maintenance_game() -> None:
    """5, 9, 16, 9, 16, 20, 20: 1 2/3, 5 2/3, 12 2/3.

    Source: "Onderhoudssituaties en -spelen", wiskundeoptiu.nl (seen).
    """
    worth = {
        (1,): 5.0, (2,): 9.0, (3,): 16.0, (1, 2): 9.0, (1, 3): 16.0, (2, 3): 20.0, (1, 2, 3): 20.0
    }  # fmt: skip
    assert shapley_values(game(worth, 3)) == pytest.approx([5 / 3, 17 / 3, 38 / 3])
