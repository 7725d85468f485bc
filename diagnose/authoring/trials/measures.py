"""What is measured of worked and simulated cases, and how sure the figures are."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from diagnose.authoring.trials.working import CaseOutcome, Decision
from diagnose.records.learning.calibration import (
    Bin,
    Split,
    brier_score,
    calibration_error,
    log_loss,
    murphy_split,
    reliability,
)
from diagnose.simulation.intervals import Average, figure

# no forecast may be so sure that one miss scores infinity
SUREST = 1 - 1e-6


@dataclass(frozen=True, slots=True)
class TrialMeasure:
    """One number per case. `form` is how its figures are written. A mean difference smaller than
    `matters`, or than the share `matters_share` of the mean, changes nothing for a workshop (our
    own judgement)."""

    key: str
    title: str
    form: str
    of: Callable[[CaseOutcome], float]
    more_is_better: bool
    matters: float = 0.0
    matters_share: float = 0.0


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
    TrialMeasure(
        "first", "a true cause first", ".0%", lambda o: float(o.decision.first), True, 0.02,
    ),
    TrialMeasure(
        "top_three", "all true causes in the top three (several: five)", ".0%",
        lambda o: float(o.decision.top_three), True, 0.02,
    ),
    TrialMeasure("cured", "cured", ".0%", lambda o: float(o.cured), True, 0.02),
    TrialMeasure(
        "questions", "questions and checks to a decision", ".1f",
        lambda o: float(o.decision.observations), False, 0.5,
    ),
    TrialMeasure(
        "decision", "minutes to a decision", ".0f", lambda o: o.decision.minutes, False, 1.0, 0.05,
    ),
    TrialMeasure(
        "minutes", "minutes to cured or handed over", ".0f", lambda o: o.minutes, False, 1.0, 0.05,
    ),
    TrialMeasure("corrections", "corrections", ".2f", lambda o: float(o.corrections), False, 0.1),
    TrialMeasure("brier", "Brier score", ".3f", lambda o: brier(o.decision), False, 0.02),
    TrialMeasure(
        "log_score", "log score, nats", ".3f",
        lambda o: log_score(o.decision), False, 0.1,
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
    stood first alone; `error` and `named_error` are the mean distances of chance and share.

    `brier` is the sum over causes of the squared error, averaged over cases (0 best), and `split`
    its parts over `bins` (Murphy, 1973, from memory). What `split` leaves of it, `inside`, is what
    the chances do inside their bins: negative where they tell causes of one bin apart.
    """

    bins: tuple[Bin, ...]
    error: float
    named: tuple[Bin, ...]
    named_error: float
    brier: float
    split: Split

    @property
    def inside(self) -> float:
        """The Brier score less its parts over the bins."""
        parts = self.split
        return self.brier - (parts.reliability - parts.resolution + parts.uncertainty)


def reliability_of(decisions: Iterable[Decision], bins: int = 10) -> Reliability:
    """How far the chances given at the decision can be taken at their word."""
    forecasts: list[float] = []
    true: list[bool] = []
    sure: list[float] = []
    right: list[bool] = []
    cases = 0
    for decision in decisions:
        cases += bool(decision.chances)
        forecasts += decision.chances.values()
        true += [cause in decision.true for cause in decision.chances]
        if decision.named:
            sure.append(decision.chances[decision.named])
            right.append(decision.first)
    table, named = reliability(forecasts, true, bins), reliability(sure, right, bins)
    named_error = calibration_error(named) if named else 0.0
    if not table:
        return Reliability((), 0.0, named, named_error, 0.0, Split(0.0, 0.0, 0.0))
    a_case = len(forecasts) / cases
    score, split = brier_score(forecasts, true) * a_case, murphy_split(table).times(a_case)
    return Reliability(table, calibration_error(table), named, named_error, score, split)


def by_number_of_causes(decisions: Iterable[Decision]) -> dict[str, list[Decision]]:
    """Decisions with 'one', 'two' and 'more' true causes apart; a group that is empty is left
    out."""
    groups: dict[str, list[Decision]] = {"one": [], "two": [], "more": []}
    for decision in decisions:
        groups[{1: "one", 2: "two"}.get(len(decision.true), "more")].append(decision)
    return {name: group for name, group in groups.items() if group}


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


@dataclass(frozen=True, slots=True)
class Share:
    """How many of so many cases, with the 95 % interval of the share."""

    times: int
    cases: int
    low: float
    high: float

    @property
    def value(self) -> float:
        """The share itself."""
        return self.times / self.cases


def share(hits: Sequence[bool]) -> Share:
    """The share of true values. At least one value."""
    return share_of(sum(hits), len(hits))


def share_of(times: int, cases: int) -> Share:
    """So many of so many. At least one case."""
    return Share(times, cases, *wilson(times, cases))


def wilson(times: int, cases: int) -> tuple[float, float]:
    """The 95 % score interval of a share (Wilson, 1927, from memory). At least one case."""
    from scipy import stats  # noqa: PLC0415  # takes a second to import

    found = stats.binomtest(times, cases).proportion_ci(method="wilson")
    return float(found.low), float(found.high)
