"""How good past rankings were, scored on the proven cases.

Brier 1950 (Mon. Wea. Rev. 78:1-3), the logarithmic score of Good 1952, the split of Murphy 1973 and
the expected calibration error; formulas from memory, checked in tests/published.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from diagnose.records.lessons import Lesson

FLOOR = 1e-4
"""What a cause that was not in the stored forecast is taken to have had: less was not stored."""


@dataclass(frozen=True, slots=True)
class Bin:
    """Forecasts between `low` and `high`: how many, their mean, and the share that came true."""

    low: float
    high: float
    count: int
    forecast: float
    came_true: float


@dataclass(frozen=True, slots=True)
class Calibration:
    """Scores of `cases` rankings.

    `brier` is the sum over causes of the squared error, averaged over cases (0 best); `log_score`
    the mean of -ln p(true cause) in nats; `first` the share of cases whose cause was ranked first.
    """

    cases: int
    brier: float
    log_score: float
    first: float
    bins: tuple[Bin, ...]
    calibration_error: float


def calibrate(lessons: Sequence[Lesson], bins: int = 10) -> Calibration | None:
    """Score the forecasts kept with proven cases; None where there are none."""
    scored = [lesson for lesson in lessons if lesson.chances]
    if not scored:
        return None
    forecasts: list[float] = []
    outcomes: list[bool] = []
    brier = log_score = first = 0.0
    for lesson in scored:
        chances = {**lesson.chances}
        chances.setdefault(lesson.cause, FLOOR)
        brier += sum((p - (cause == lesson.cause)) ** 2 for cause, p in chances.items())
        log_score -= math.log(max(chances[lesson.cause], FLOOR))
        first += max(chances, key=lambda cause: chances[cause]) == lesson.cause
        forecasts += chances.values()
        outcomes += [cause == lesson.cause for cause in chances]
    table = reliability(forecasts, outcomes, bins)
    count = len(scored)
    error = calibration_error(table)
    return Calibration(count, brier / count, log_score / count, first / count, table, error)


def brier_score(forecasts: Sequence[float], outcomes: Sequence[bool]) -> float:
    """Mean squared error of yes/no forecasts."""
    pairs = zip(forecasts, outcomes, strict=True)
    return math.fsum((f - o) ** 2 for f, o in pairs) / len(forecasts)


def log_loss(forecasts: Sequence[float], outcomes: Sequence[bool]) -> float:
    """Mean -ln of the chance given to what happened (nats)."""
    given = [f if o else 1 - f for f, o in zip(forecasts, outcomes, strict=True)]
    return -math.fsum(math.log(p) for p in given) / len(given)


def murphy_split(
    forecasts: Sequence[float], outcomes: Sequence[bool]
) -> tuple[float, float, float]:
    """Reliability, resolution and uncertainty over groups of equal forecasts.

    The Brier score is the first less the second plus the third.
    """
    groups: dict[float, list[bool]] = defaultdict(list)
    for forecast, outcome in zip(forecasts, outcomes, strict=True):
        groups[forecast].append(outcome)
    total = len(forecasts)
    base = sum(outcomes) / total
    reliability_part = resolution = 0.0
    for forecast, seen in groups.items():
        share = sum(seen) / len(seen)
        reliability_part += len(seen) * (forecast - share) ** 2 / total
        resolution += len(seen) * (share - base) ** 2 / total
    return reliability_part, resolution, base * (1 - base)


def reliability(
    forecasts: Sequence[float], outcomes: Sequence[bool], bins: int = 10
) -> tuple[Bin, ...]:
    """Forecasts in equal bins, each closed below; empty bins are left out."""
    members: dict[int, list[tuple[float, bool]]] = defaultdict(list)
    for forecast, outcome in zip(forecasts, outcomes, strict=True):
        # so that 0.6, which floats hold as a hair less, falls into the bin that begins with it
        number = min(int(round(forecast * bins, 9)), bins - 1)
        members[number].append((forecast, outcome))
    return tuple(
        Bin(
            number / bins,
            (number + 1) / bins,
            len(inside),
            math.fsum(f for f, _ in inside) / len(inside),
            sum(o for _, o in inside) / len(inside),
        )
        for number, inside in sorted(members.items())
    )


def calibration_error(table: Sequence[Bin]) -> float:
    """Mean distance of forecast and share over the bins, weighed by how many are in each."""
    total = sum(entry.count for entry in table)
    return math.fsum(e.count * abs(e.forecast - e.came_true) for e in table) / total
