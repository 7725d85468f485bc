"""What is measured of worked and simulated cases, and how sure the figures are."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from diagnose.authoring.trials.working import CaseOutcome, Decision
from diagnose.records.learning.calibration import (
    Bin,
    brier_score,
    calibration_error,
    log_loss,
    reliability,
)
from diagnose.simulation.intervals import Average, figure

# no forecast may be so sure that one miss scores infinity
SUREST = 1 - 1e-6


@dataclass(frozen=True, slots=True)
class TrialMeasure:
    """One number per case. `form` is how its figures are written."""

    key: str
    title: str
    form: str
    of: Callable[[CaseOutcome], float]
    more_is_better: bool


def brier(decision: Decision) -> float:
    """Squared errors of the chances given to the causes, summed over causes (0 best; Brier, 1950,
    from memory)."""
    forecasts, outcomes = _forecasts(decision)
    if not forecasts:
        return float(len(decision.true))
    return brier_score(forecasts, outcomes) * len(forecasts)


def log_score(decision: Decision) -> float:
    """-ln of the chance given to what is true of each cause, summed over causes, in nats (0 best;
    Good, 1952, from memory)."""
    forecasts, outcomes = _forecasts(decision)
    if not forecasts:
        return -math.log1p(-SUREST) * len(decision.true)
    bounded = [min(max(chance, 1 - SUREST), SUREST) for chance in forecasts]
    return log_loss(bounded, outcomes) * len(forecasts)


def _forecasts(decision: Decision) -> tuple[list[float], list[bool]]:
    """Chance and truth of every cause; a true one that the pack does not know had no chance."""
    unknown = [cause for cause in decision.true if cause not in decision.chances]
    if not decision.chances:
        return [], []
    forecasts = [*decision.chances.values(), *(0.0 for _ in unknown)]
    return forecasts, [
        *(cause in decision.true for cause in decision.chances),
        *(True for _ in unknown),
    ]


MEASURES = (
    TrialMeasure("first", "a true cause first", ".0%", lambda o: float(o.decision.first), True),
    TrialMeasure(
        "top_three", "all true causes in top three", ".0%",
        lambda o: float(o.decision.top_three), True,
    ),
    TrialMeasure("cured", "cured", ".0%", lambda o: float(o.cured), True),
    TrialMeasure(
        "questions", "questions and checks to a decision", ".1f",
        lambda o: float(o.decision.observations), False,
    ),
    TrialMeasure("decision", "minutes to a decision", ".0f", lambda o: o.decision.minutes, False),
    TrialMeasure("minutes", "minutes to cured or handed over", ".0f", lambda o: o.minutes, False),
    TrialMeasure("corrections", "corrections", ".2f", lambda o: float(o.corrections), False),
    TrialMeasure("brier", "Brier score", ".3f", lambda o: brier(o.decision), False),
    TrialMeasure(
        "log_score", "log score, nats", ".3f",
        lambda o: log_score(o.decision), False,
    ),
)  # fmt: skip

RANKING = tuple(m for m in MEASURES if m.key in ("first", "top_three", "brier", "log_score"))
"""Those that hang on nothing but the decision's ranking."""


def summarise(
    outcomes: Sequence[CaseOutcome], measures: Sequence[TrialMeasure] = MEASURES
) -> Mapping[str, Average]:
    """Measure -> mean and interval. At least one outcome."""
    return {entry.key: figure([entry.of(o) for o in outcomes]) for entry in measures}


@dataclass(frozen=True, slots=True)
class Reliability:
    """Of the causes given such a chance, how many were true. `named` is the same of the cause that
    stood first alone; `error` and `named_error` are the mean distances of chance and share."""

    bins: tuple[Bin, ...]
    error: float
    named: tuple[Bin, ...]
    named_error: float


def reliability_of(outcomes: Sequence[CaseOutcome], bins: int = 10) -> Reliability:
    """How far the chances given at the decision can be taken at their word."""
    forecasts: list[float] = []
    true: list[bool] = []
    sure: list[float] = []
    right: list[bool] = []
    for outcome in outcomes:
        decision = outcome.decision
        forecasts += decision.chances.values()
        true += [cause in decision.true for cause in decision.chances]
        if decision.named:
            sure.append(decision.chances[decision.named])
            right.append(decision.first)
    table, named = reliability(forecasts, true, bins), reliability(sure, right, bins)
    return Reliability(
        table,
        calibration_error(table) if table else 0.0,
        named,
        calibration_error(named) if named else 0.0,
    )


NOBODY = "(none)"


@dataclass(frozen=True, slots=True)
class Pair:
    """A true cause and what was named first though it was not there.

    `times` out of `cases` where the true cause could give the complaint; `low` and `high` are the
    95 % interval of that share.
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
    """The 95 % score interval of a share (Wilson, 1927, from memory). At least one case."""
    from scipy import stats  # noqa: PLC0415  # takes a second to import

    found = stats.binomtest(times, cases).proportion_ci(method="wilson")
    return float(found.low), float(found.high)
