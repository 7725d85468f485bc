"""Exact Shapley values: a fair share of a whole among players that act together.

Source: L. S. Shapley, "A value for n-person games", 1953 (from memory; worked games with
printed answers are in `tests/published`).
"""

import math

import numpy as np

from diagnose.physics.arrays import FloatArray
from diagnose.physics.errors import PhysicsError

__all__ = ["shapley_values"]


def shapley_values(worth: FloatArray) -> FloatArray:
    """Return each player's share of `worth`.

    `worth`: value of every coalition along the first axis, coalition number as a bit
        pattern (bit i set: player i is in). Further axes are separate games.

    Returns one row a player, further axes as given. The rows add up to the worth of all players
    together less the worth of nobody.

    Raises `PhysicsError` if the first axis is not a power of two, or there is no player.

    Source: the sum over coalitions, weighted |S|! (n - |S| - 1)! / n!.
    """
    coalitions = worth.shape[0]
    players = coalitions.bit_length() - 1
    if coalitions < 2 or coalitions != 1 << players:
        raise PhysicsError(
            f"{coalitions} coalitions given; 2, 4, 8 and so on, all of them, are needed"
        )
    numbers = np.arange(coalitions)
    sizes = np.array([int(number).bit_count() for number in numbers])
    weights = np.array([1.0 / (players * math.comb(players - 1, size)) for size in range(players)])
    shares = np.empty((players, *worth.shape[1:]))
    for player in range(players):
        without = numbers[(numbers >> player) & 1 == 0]
        gain = worth[without | (1 << player)] - worth[without]
        shares[player] = np.tensordot(weights[sizes[without]], gain, axes=(0, 0))
    return shares
