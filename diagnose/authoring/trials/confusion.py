"""Which causes are taken for which: true ones, and what was named first instead."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from diagnose.authoring.trials.run import Decision

NOBODY = "(none)"
Z = 1.959964  # two-sided 95 % of the normal distribution


@dataclass(frozen=True, slots=True)
class Pair:
    """A true cause and what was named first though it was not there.

    `times` out of `cases` where the true cause could give the complaint; `low` and `high` are the
    95 % interval of that share (Wilson, 1927, from memory).
    """

    true: str
    named: str
    times: int
    cases: int
    low: float
    high: float


def confusion(decisions: Iterable[Decision]) -> list[Pair]:
    """Pairs by how often they came, then by share and name. Where two causes were there and neither
    was named, each counts."""
    cases: Counter[str] = Counter()
    pairs: Counter[tuple[str, str]] = Counter()
    for decision in decisions:
        cases.update(decision.able)
        if not decision.first:
            pairs.update((true, decision.named or NOBODY) for true in decision.able)
    found = [
        Pair(true, named, times, cases[true], *wilson(times, cases[true]))
        for (true, named), times in pairs.items()
    ]
    return sorted(found, key=lambda p: (-p.times, -p.times / p.cases, p.true, p.named))


def wilson(times: int, cases: int) -> tuple[float, float]:
    """The 95 % score interval of a share."""
    share, spread = times / cases, Z * Z / cases
    middle = (share + spread / 2) / (1 + spread)
    half = Z * math.sqrt(share * (1 - share) / cases + spread / (4 * cases)) / (1 + spread)
    return max(0.0, middle - half), min(1.0, middle + half)
