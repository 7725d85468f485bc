"""How good past rankings were, scored on the proven cases.

Brier 1950 (Mon. Wea. Rev. 78:1-3), the logarithmic score of Good 1952, the split of Murphy 1973 and
the expected calibration error; formulas from memory, checked in tests/published.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from diagnose.records.learning.lessons import ProvenLesson

FLOOR = 1e-4
"""The probability taken for a cause that is not in the stored forecast; less is not stored."""


@dataclass(frozen=True, slots=True)
class Bin:
    """Forecasts between `low` and `high`: how many, their mean, and the share that came true."""

    low: float
    high: float
    count: int
    forecast: float
    came_true: float


@dataclass(frozen=True, slots=True)
class Split:
    """Murphy's parts of a Brier score: reliability less resolution plus uncertainty.

    `reliability` is what being too sure or not sure enough costs (0 best), `resolution` what
    telling cases apart earns, `uncertainty` the score of knowing only the overall share.
    """

    reliability: float
    resolution: float
    uncertainty: float

    def times(self, forecasts: float) -> Split:
        """The parts of a score that is summed over so many forecasts."""
        return Split(
            self.reliability * forecasts, self.resolution * forecasts, self.uncertainty * forecasts
        )


@dataclass(frozen=True, slots=True)
class Calibration:
    """Scores of `cases` rankings.

    `brier` is the sum over causes of the squared error, averaged over cases (0 best), and `split`
    its parts; `log_score` the mean of -ln p(true cause) in nats; `first` the share of cases whose
    cause was ranked first.
    """

    cases: int
    brier: float
    split: Split
    log_score: float
    first: float
    bins: tuple[Bin, ...]
    calibration_error: float


def calibrate(lessons: Sequence[ProvenLesson], bins: int = 10) -> Calibration | None:
    """Score the forecasts kept with proven cases; None where there are none."""
    scored = [lesson for lesson in lessons if lesson.chances]
    if not scored:
        return None
    rankings = [{lesson.cause: FLOOR, **lesson.chances} for lesson in scored]
    pairs = list(zip(scored, rankings, strict=True))
    forecasts = [chance for ranking in rankings for chance in ranking.values()]
    outcomes = [cause == lesson.cause for lesson, ranking in pairs for cause in ranking]
    given = [max(ranking[lesson.cause], FLOOR) for lesson, ranking in pairs]
    first = [max(ranking, key=ranking.__getitem__) == lesson.cause for lesson, ranking in pairs]
    table = reliability(forecasts, outcomes, bins)
    a_case = len(forecasts) / len(scored)
    return Calibration(
        len(scored),
        brier_score(forecasts, outcomes) * a_case,
        murphy_split(table).times(a_case),
        log_loss(given, [True] * len(given)),
        sum(first) / len(first),
        table,
        calibration_error(table),
    )


def brier_score(forecasts: Sequence[float], outcomes: Sequence[bool]) -> float:
    """Mean squared error of yes/no forecasts."""
    pairs = zip(forecasts, outcomes, strict=True)
    return math.fsum((f - o) ** 2 for f, o in pairs) / len(forecasts)


def log_loss(forecasts: Sequence[float], outcomes: Sequence[bool]) -> float:
    """Mean -ln of the chance given to what happened (nats)."""
    given = [f if o else 1 - f for f, o in zip(forecasts, outcomes, strict=True)]
    return -math.fsum(math.log(p) for p in given) / len(given)


def murphy_split(table: Sequence[Bin]) -> Split:
    """The parts of the Brier score over the bins of `reliability`.

    Exact where all forecasts of a bin are the same; else differences inside a bin are left out.
    """
    total = sum(entry.count for entry in table)
    base = math.fsum(entry.count * entry.came_true for entry in table) / total
    apart = math.fsum(e.count * (e.forecast - e.came_true) ** 2 for e in table) / total
    resolution = math.fsum(e.count * (e.came_true - base) ** 2 for e in table) / total
    return Split(apart, resolution, base * (1 - base))


def reliability(
    forecasts: Sequence[float], outcomes: Sequence[bool], bins: int = 10
) -> tuple[Bin, ...]:
    """Forecasts in equal bins, each closed below; empty bins are left out."""
    members: dict[int, list[tuple[float, bool]]] = defaultdict(list)
    for forecast, outcome in zip(forecasts, outcomes, strict=True):
        # so that 0.6, which is slightly less as a float, falls into the bin that begins with it
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
    """Mean distance of forecast and share over the bins, weighted by how many are in each."""
    total = sum(entry.count for entry in table)
    return math.fsum(e.count * abs(e.forecast - e.came_true) for e in table) / total
