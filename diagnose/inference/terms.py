"""Exact posterior of independent causes behind noisy-MAX findings, with no cap on their number.

What was seen in its normal state only changes the odds of the causes (D. Heckerman, "A tractable
inference algorithm for diagnosing multiple diseases", 1989, from memory: Quickscore). What needs
explaining is a `Piece`. Inclusion and exclusion over the pieces gives terms in each of which the
causes are independent, so every chance is a sum over terms. Plain sums cancel; a piece may instead
be split by the first cause that makes it, whose terms are all positive. `cancellation` watches what
is lost, and more is split until it is small.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rules.problems import BadInput

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]
Flags = NDArray[np.bool_]

MOST_CANCELLED = 1e11  # sum of |weights| over the sum; a chance is then off by about 1e-5 at most
MOST_TERMS = 2**15
_SHARES = 0, 2, 4, 8  # terms allowed for splitting, in turn, as multiples of those without it
_CERTAIN = 1e-20  # stands for 'not absent' where a quotient needs a number


class TooManyTerms(BadInput):
    """These pieces cannot be summed in terms that neither cancel nor outgrow memory."""

    def __init__(self) -> None:
        super().__init__(
            "too much of what was said hangs together to be weighed in one; take back what matters "
            "least, or begin another case"
        )


@dataclass(frozen=True, slots=True)
class Piece:
    """Something seen that needs explaining, made up of one or more bits, each made or not made.

    `quiet` (bits, causes) is the chance that a cause at work leaves a bit unmade, 1 where it has no
    say in it; `background` (bits) the same of everything that is not listed. `weights` (2 to the
    power of bits) is the likelihood of what was seen given which bits were made, bit 0 the lowest.
    A single finding is one bit with weights (0, 1), or (1 - w, 1) where only w of it counts.
    """

    quiet: Floats
    background: Floats
    weights: Floats

    @property
    def is_finding(self) -> bool:
        """Whether it is a single bit that was made for certain."""
        return len(self.weights) == 2 and self.weights[0] == 0

    def signed(self) -> Iterator[tuple[float, Floats]]:
        """What was seen as a sum of products in which some bits stay quiet: (coefficient, quiet
        chance per cause)."""
        if len(self.weights) == 2:  # most are, and are split again and again
            whole, apart = float(self.weights[1]), float(self.weights[0] - self.weights[1])
            if whole != 0:
                yield whole, np.ones(self.quiet.shape[1])
            if apart != 0:
                yield apart * float(self.background[0]), self.quiet[0]
            return
        bits = len(self.background)
        coefficients = self.weights.copy()
        for bit in range(bits):  # from 'exactly these made' to 'at least those quiet'
            made = coefficients.reshape(-1, 2, 1 << bit)
            unmade, made_too = made[:, 0].copy(), made[:, 1].copy()
            made[:, 0], made[:, 1] = made_too, unmade - made_too  # index: bit quiet or free
        for pattern, coefficient in enumerate(coefficients):
            if coefficient != 0:
                # after the turn above a set bit of `pattern` means that the bit must stay quiet
                must = [bit for bit in range(bits) if pattern >> bit & 1]
                quiet = np.prod(self.quiet[must], axis=0) if must else np.ones(self.quiet.shape[1])
                yield float(coefficient * np.prod(self.background[must])), quiet


@dataclass(frozen=True, slots=True)
class Terms:
    """A posterior as a weighted sum of products.

    In term t the causes `causes` are independent, each present with chance `present[:, t]` and
    absent with `absent[:, t]`. `weights` add up to 1 and may be negative. `log_mass` is ln of the
    probability of the pieces.
    """

    causes: Indices
    weights: Floats
    present: Floats
    absent: Floats
    log_mass: float
    cancellation: float

    def marginals(self) -> Floats:
        """Chance of each of `causes`."""
        return np.asarray(np.clip(self.present @ self.weights, 0.0, 1.0))

    def all_absent(self, which: Flags) -> float:
        """Chance that all the causes flagged in `which` (over `causes`) are absent."""
        return self.without(which)[0]

    def with_odds(self, factor: Floats) -> Floats:
        """Chance of each of `causes` were its odds so many times as high."""
        rows = factor != 1
        scale = self.absent[rows] + factor[rows, None] * self.present[rows]
        weights = self.weights * np.multiply.reduce(scale, axis=0)
        found = self.present @ weights
        found[rows] = factor[rows] * ((self.present[rows] / scale) @ weights)
        return np.asarray(np.clip(found / weights.sum(), 0.0, 1.0))

    def without(self, which: Flags) -> tuple[float, Floats]:
        """Chance that all the causes flagged in `which` are absent, and jointly with each cause
        being present."""
        weights = self.weights * np.multiply.reduce(self.absent[which], axis=0)
        found = np.where(which, 0.0, self.present @ weights)
        return float(np.clip(weights.sum(), 0.0, 1.0)), np.clip(found, 0.0, 1.0)

    def joint(self, rows: Indices) -> Floats:
        """Chance of every combination of some causes (`rows` of `causes`): 2 to the power of rows,
        the first of them the lowest bit."""
        half = len(rows) // 2
        low, high = self._products(rows[:half]), self._products(rows[half:])
        return np.asarray(np.maximum((high * self.weights) @ low.T, 0.0).ravel())

    def _products(self, rows: Indices) -> Floats:
        """Chance of every combination of some causes in each term: (combinations, terms)."""
        found = np.ones((1, len(self.weights)))
        for row in rows:
            found = np.concatenate([found * self.absent[row], found * self.present[row]])
        return found


def connected(odds: Floats, pieces: Sequence[Piece]) -> Iterator[tuple[list[Piece], Flags]]:
    """Pieces that share causes, together, with the causes that any of them is about."""
    waiting = [(piece, (piece.quiet < 1).any(axis=0) & (odds > 0)) for piece in pieces]
    while waiting:
        piece, reach = waiting.pop(0)
        together = [piece]
        grown = True
        while grown:
            near = [item for item in waiting if (item[1] & reach).any()]
            grown = bool(near)
            for item in near:
                waiting = [other for other in waiting if other is not item]
                together.append(item[0])
                reach = reach | item[1]
        yield together, reach


def expand(odds: Floats, pieces: Sequence[Piece]) -> Terms:
    """The posterior of the causes that have odds, which are those that the pieces are about.

    Raises `TooManyTerms` when it cannot be had in this way, also where the pieces are impossible.
    """
    causes = np.flatnonzero(odds > 0)
    plain = 2.0 ** sum(len(piece.background) for piece in pieces)
    for share in _SHARES:
        terms = _expand(odds, pieces, causes, share * plain)
        if terms is not None and terms.cancellation <= MOST_CANCELLED:
            return terms
    raise TooManyTerms


def _expand(odds: Floats, pieces: Sequence[Piece], causes: Indices, budget: float) -> Terms | None:
    """The terms, with as many findings split by first producer as `budget` terms allow; None when
    they cancel altogether."""
    split, rest = _to_split(odds, pieces, causes, budget)
    first, apart, weights = odds[causes][:, None], np.ones((len(causes), 1)), np.ones(1)
    for piece in split:
        first, apart, weights = _by_first(piece, causes, odds[causes], first, apart, weights)
    sums = [list(piece.signed()) for piece in rest]
    done = len(weights)
    whole_number = done * math.prod(map(len, sums))
    if whole_number > MOST_TERMS:
        raise TooManyTerms
    ratio = np.empty((len(causes), whole_number))  # filled in place: copies of it take longest
    ratio[:, :done] = first
    for products in sums:
        for number, (_, quiet) in reversed(list(enumerate(products))):
            block = ratio[:, number * done : (number + 1) * done]
            np.multiply(ratio[:, :done], quiet[causes, None], out=block)
        weights = np.concatenate([coefficient * weights for coefficient, _ in products])
        done *= len(products)
    if split:
        apart = np.tile(apart, len(weights) // apart.shape[1])
    whole = ratio + apart
    weights = weights * (np.multiply.reduce(whole, axis=0) / np.prod(1 + odds[causes]))
    mass = float(weights.sum())
    if not mass > 0:
        return None
    weights = weights / mass
    share = np.reciprocal(whole, out=whole)
    present = np.multiply(ratio, share, out=ratio)
    absent = np.multiply(apart, share, out=apart) if split else share
    return Terms(
        causes,
        weights,
        present,
        absent,
        math.log(mass),
        float(np.abs(weights).sum()),
    )


def _to_split(
    odds: Floats, pieces: Sequence[Piece], causes: Indices, budget: float
) -> tuple[list[Piece], list[Piece]]:
    """Which findings to split, cheapest first for what it mends; one producer costs nothing."""
    split = [p for p in pieces if p.is_finding and int((p.quiet[0, causes] < 1).sum()) <= 1]
    rest = [p for p in pieces if not any(p is other for other in split)]
    present = odds[causes] / (1 + odds[causes])
    terms = 2.0 ** sum(len(piece.background) for piece in rest)

    def price(piece: Piece) -> float:
        producers = int((piece.quiet[0, causes] < 1).sum())
        quiet = np.prod(1 - present * (1 - piece.quiet[0, causes]))
        seen = max(1 - float(piece.background[0] * quiet), 1e-300)
        return math.log((producers + 1) / 2) / math.log(2 / min(seen, 1.0))

    for piece in sorted((p for p in rest if p.is_finding), key=price):
        factor = (int((piece.quiet[0, causes] < 1).sum()) + 1) / 2
        if terms * factor <= min(budget, MOST_TERMS):
            split.append(piece)
            rest = [other for other in rest if other is not piece]
            terms *= factor
    return split, rest


def _by_first(
    piece: Piece, causes: Indices, odds: Floats, ratio: Floats, apart: Floats, weights: Floats
) -> tuple[Floats, Floats, Floats]:
    """A finding made by the background, or else by the first of its producers that made it."""
    quiet, leak = piece.quiet[0, causes], float(piece.background[0])
    producers = np.flatnonzero(quiet < 1)
    producers = producers[np.argsort(-(1 - quiet[producers]) * odds[producers], kind="stable")]
    ratios, aparts, parts = [ratio], [apart], [(1 - leak) * weights]
    earlier = ratio
    for producer in producers:
        first, there = earlier.copy(), apart.copy()
        first[producer] *= 1 - quiet[producer]
        there[producer] = _CERTAIN
        ratios.append(first)
        aparts.append(there)
        parts.append(leak * weights)
        earlier = earlier.copy()
        earlier[producer] *= quiet[producer]
    return np.concatenate(ratios, 1), np.concatenate(aparts, 1), np.concatenate(parts)
