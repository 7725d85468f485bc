"""Cause sets: every way of having up to N causes at once, as one index table."""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]
Flags = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class CauseSets:
    """All sets of at most `width` of `count` causes.

    `members` has shape (sets, width) and holds cause indices; `count` itself stands for 'no cause'.
    Row 0 is the empty set: nothing listed is behind it.
    """

    count: int
    members: Indices

    @property
    def width(self) -> int:
        """Most causes at once."""
        return int(self.members.shape[1])

    def __len__(self) -> int:
        return int(self.members.shape[0])

    def sums(self, per_cause: Floats) -> Floats:
        """Sum of a value over the members of each set.

        `per_cause` has shape (..., count); the result (..., sets).
        """
        padded = np.concatenate([per_cause, np.zeros((*per_cause.shape[:-1], 1))], axis=-1)
        total = padded.take(self.members[:, 0], axis=-1)
        for column in range(1, self.width):
            total += padded.take(self.members[:, column], axis=-1)
        return total

    def marginals(self, weights: Floats) -> Floats:
        """Total weight of the sets that hold each cause: (..., sets) -> (..., count)."""
        flat = weights.reshape(-1, len(self))
        out = np.zeros((flat.shape[0], self.count + 1))
        for row, values in enumerate(flat):
            for column in range(self.width):
                out[row] += np.bincount(
                    self.members[:, column], weights=values, minlength=self.count + 1
                )
        return out[:, : self.count].reshape(*weights.shape[:-1], self.count)

    def without(self, gone: Flags) -> CauseSets:
        """The same sets once the causes flagged in `gone` (shape count) are put right."""
        lookup = np.append(np.where(gone, self.count, np.arange(self.count)), self.count)
        return CauseSets(self.count, lookup[self.members])

    def take(self, rows: Any) -> CauseSets:
        """Some of the sets."""
        return CauseSets(self.count, self.members[rows])


def cause_sets(count: int, width: int) -> CauseSets:
    """All sets of up to `width` out of `count` causes, smallest first."""
    blocks = []
    for size in range(width + 1):
        chosen = np.array(list(itertools.combinations(range(count), size)), dtype=np.intp)
        block = np.full((len(chosen) if size else 1, width), count, dtype=np.intp)
        if size and len(chosen):
            block[:, :size] = chosen
        blocks.append(block)
    return CauseSets(count, np.concatenate(blocks))
