"""Repeatable chance: numbers that depend on a seed and some words, and on nothing else.

Only the raw stream of numpy's PCG64 and its seeding are used. NumPy keeps those the same in every
release and on every computer (NEP 19, from memory), which it does not promise of its distributions.
"""

from __future__ import annotations

import zlib
from collections.abc import Sequence
from typing import TypeVar

from numpy.random import PCG64, SeedSequence

T = TypeVar("T")


class Dice:
    """A stream of draws named by a seed and words."""

    def __init__(self, seed: int, *words: str) -> None:
        key = zlib.crc32("\0".join(words).encode())
        self._bits = PCG64(SeedSequence([seed, key]))

    def unit(self) -> float:
        """A number from 0 up to, not including, 1."""
        return float((int(self._bits.random_raw()) >> 11) * 2.0**-53)

    def pick(self, weights: Sequence[float]) -> int:
        """A position, as often as its weight says. The weights add up to something above 0."""
        at = self.unit() * sum(weights)
        for index, weight in enumerate(weights):
            at -= weight
            if at < 0:
                return index
        return max(index for index, weight in enumerate(weights) if weight > 0)

    def choose(self, options: Sequence[T]) -> T:
        """One of the options, each as likely."""
        return options[int(self.unit() * len(options))]

    def sample(self, options: Sequence[T], count: int) -> tuple[T, ...]:
        """Up to `count` different options in the order drawn."""
        left, drawn = list(options), list[T]()
        while left and len(drawn) < count:
            drawn.append(left.pop(int(self.unit() * len(left))))
        return tuple(drawn)

    def around(self, width: float) -> float:
        """A number within `width` of 0, most often near it (the sum of two even draws)."""
        return (self.unit() + self.unit() - 1) * width
