"""Cause sets: every way of having up to N causes at once, exactly, however many causes there are.

Only causes that some evidence bears on are told apart set by set. The others weigh the same in
every set, so their part comes down to elementary symmetric sums of their prior odds: nothing is
left out or approximated, and the table grows with what the evidence touches, not with the pack.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from rules.problems import BadInput

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]
Flags = NDArray[np.bool_]


MOST_SETS = 600_000


class TooManySets(BadInput):
    """More cause sets than a machine of the bench can weigh."""


@dataclass(frozen=True, slots=True)
class CauseSets:
    """Sets of at most `width` of `count` causes.

    `members` has shape (sets, width) and holds cause indices; `count` itself stands for 'no cause'.
    Row 0 is the empty set.
    """

    count: int
    members: Indices

    @property
    def width(self) -> int:
        """Most causes at once."""
        return int(self.members.shape[1])

    def __len__(self) -> int:
        return int(self.members.shape[0])

    @property
    def room(self) -> Indices:
        """How many more causes each set may hold."""
        return np.asarray((self.members == self.count).sum(axis=1))

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


@dataclass(frozen=True, slots=True)
class Bystanders:
    """Causes that no evidence bears on, beside a table of sets of the other causes.

    `odds` (shape count) holds their prior odds, 0 for every other cause. `room` (one per set) says
    how many more causes the set may hold.
    """

    odds: Floats
    room: Indices

    def thinned(self, chances: Floats) -> Bystanders:
        """The same with every bystander's odds times a chance (shape count)."""
        return Bystanders(self.odds * chances, self.room)

    def totals(self) -> Floats:
        """Per set, the summed odds of all ways to fill its room with bystanders, none included."""
        return np.asarray(np.cumsum(self._symmetric())[self.room])

    def marginals(self, weights: Floats) -> Floats:
        """Weight of the sets with each bystander in: (..., sets) -> (..., count).

        `weights` holds the weight of each set with its room filled in every way.
        """
        flat = weights.reshape(-1, len(self.room))
        sizes = self._most + 1
        by_room = np.array([np.bincount(self.room, weights=row, minlength=sizes) for row in flat])
        return np.asarray((by_room @ self._shares()).reshape(*weights.shape[:-1], len(self.odds)))

    @property
    def _most(self) -> int:
        return int(self.room.max(initial=0))

    def _symmetric(self) -> Floats:
        """e_0 .. e_most of the odds, by Newton's identities (textbook algebra, from memory)."""
        powers = [float(np.sum(self.odds**k)) for k in range(1, self._most + 1)]
        sums = [1.0]
        for k in range(1, self._most + 1):
            terms = (-((-1) ** i) * sums[k - i] * powers[i - 1] for i in range(1, k + 1))
            sums.append(sum(terms) / k)
        return np.array(sums)

    def _shares(self) -> Floats:
        """Chance of each bystander being in, by room: (most + 1, count)."""
        sums = self._symmetric()
        totals = np.cumsum(sums)
        without = np.ones_like(self.odds)  # e_k of all bystanders but this one
        smaller = np.zeros_like(self.odds)
        rows = [np.zeros_like(self.odds)]
        for k in range(1, len(sums)):
            smaller = smaller + without
            rows.append(self.odds * smaller / totals[k])
            without = sums[k] - self.odds * without
        return np.array(rows)


def cause_sets(count: int, width: int, among: Indices | None = None) -> CauseSets:
    """All sets of up to `width` out of `count` causes, or of those listed in `among` (ascending),
    smallest first. Raises `TooManySets`, since a table of them must fit in memory."""
    chosen = np.arange(count) if among is None else among
    total = sum(math.comb(len(chosen), size) for size in range(width + 1))
    if total > MOST_SETS:
        raise TooManySets(
            f"{len(chosen)} causes bear on what is known, in {total} sets of up to {width}; at "
            f"most {MOST_SETS} are weighed. Look for fewer causes at once"
        )
    padded = np.append(chosen, count)
    blocks = [np.full((1, width), count, dtype=np.intp)]
    rows = np.arange(len(chosen), dtype=np.intp)[:, None]
    for size in range(1, width + 1):
        block = np.full((len(rows), width), count, dtype=np.intp)
        block[:, :size] = padded[rows]
        blocks.append(block)
        rows = _one_more(rows, len(chosen))
    return CauseSets(count, np.concatenate(blocks))


def _one_more(rows: Indices, count: int) -> Indices:
    """Every ascending row of indices, lengthened by each larger index."""
    ways = count - 1 - rows[:, -1]
    starts = np.cumsum(ways) - ways
    longer = np.repeat(rows, ways, axis=0)
    added = longer[:, -1] + 1 + np.arange(len(longer)) - np.repeat(starts, ways)
    return np.column_stack([longer, added])
