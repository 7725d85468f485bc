"""The same posterior by a recursion over which bits are already made: slower, never cancels.

Every term is positive, so it loses no digits; it holds 2 to the power of bits numbers per cause.
It answers where the terms of `inference.terms` fail, and the tests hold those against it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from diagnose.inference.terms import Floats, Piece, TooManyTerms

MOST_BITS = 18
_MOST_NUMBERS = 2**18 * 200
"""So many are held at once, 420 MB: all bits with 200 causes, fewer with more."""


def most_bits(causes: int) -> int:
    """How many bits can be weighed together with so many causes, so that neither memory nor time
    grows with the size of a rule base."""
    return min(MOST_BITS, int(math.log2(_MOST_NUMBERS / max(causes, 1))))


def marginals(odds: Floats, pieces: Sequence[Piece]) -> tuple[Floats, float]:
    """Chance of every cause, and ln of the probability of the pieces.

    Raises `TooManyTerms` beyond `MOST_BITS` bits, `ZeroDivisionError` when the pieces are
    impossible.
    """
    bits = sum(len(piece.background) for piece in pieces)
    if bits > MOST_BITS:
        raise TooManyTerms
    quiet = np.concatenate([piece.quiet for piece in pieces])
    leak = np.concatenate([piece.background for piece in pieces])
    wanted = np.ones(1)  # likelihood of what was seen, given which bits are made
    for piece in pieces:
        wanted = (piece.weights[:, None] * wanted[None, :]).ravel()
    causes = np.flatnonzero((quiet < 1).any(axis=0) & (odds > 0))
    present, absent = odds / (1 + odds), 1 / (1 + odds)
    made = np.zeros(1 << bits)
    made[0] = 1.0
    for bit in range(bits):
        _make(made, 1 - leak[bit], bit)
    forward = [made]
    for cause in causes:
        with_it = present[cause] * forward[-1]
        for bit in np.flatnonzero(quiet[:, cause] < 1).tolist():
            _make(with_it, 1 - quiet[bit, cause], bit)
        forward.append(absent[cause] * forward[-1] + with_it)
    total = float(forward[-1] @ wanted)
    if not total > 0:
        raise ZeroDivisionError("the pieces are impossible")
    chances = present.copy()
    backward = wanted
    for number in range(len(causes) - 1, -1, -1):
        cause = causes[number]
        with_it = present[cause] * backward
        for bit in np.flatnonzero(quiet[:, cause] < 1).tolist():
            _unmake(with_it, 1 - quiet[bit, cause], bit)
        chances[cause] = float(forward[number] @ with_it) / total
        backward = absent[cause] * backward + with_it
    return np.asarray(chances), math.log(total)


def _make(over: Floats, chance: float, bit: int) -> None:
    """Let something make a bit with some chance."""
    view = over.reshape(-1, 2, 1 << bit)
    view[:, 1] += chance * view[:, 0]
    view[:, 0] *= 1 - chance


def _unmake(over: Floats, chance: float, bit: int) -> None:
    """The same backwards: what is wanted later, seen from before."""
    view = over.reshape(-1, 2, 1 << bit)
    view[:, 0] *= 1 - chance
    view[:, 0] += chance * view[:, 1]
