"""Which strengths the outcomes hang on: each is moved by itself and the worked cases ranked again.

A word goes one word up and one down, a prior is doubled and halved. Facts and findings do not
depend on strengths, so the evidence of each case is gathered once; moving a cause's strength
changes only the weights of the sets that hold the cause, so only those are weighed again. A prior
is moved only in the cases where some evidence bears on its cause.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from diagnose.advice.assessor import Assessor
from diagnose.authoring.strengths import MOST_PER_100, Strength, moved, next_word, strengths
from diagnose.authoring.trials.trial import Stack, own_cases
from diagnose.batch.every_core import on_every_core
from diagnose.case.files import WorkedCase, load_worked_case
from diagnose.inference.cause_sets import Bystanders, Flags, Floats, Indices
from diagnose.inference.evidence import Weigher
from diagnose.inference.network import Network, log_of_cumulative
from diagnose.inference.posterior import Belief
from rules.loading.loader import load_packs
from rules.rulebase import Link, RuleBase

PRIOR_FACTOR = 2.0
CHUNK = 32
"""Strengths that a process moves at a time."""


@dataclass(frozen=True, slots=True)
class StrengthMove:
    """What moving a strength one way does.

    `to` is what it becomes. `truth` is the mean change, over all cases, of the probability of the
    true cause (the mean of them where there are two). `gained` and `lost` name the cases where a
    true cause now stands first and did not, or no longer does; `largest` the case that changed
    most.
    """

    to: str
    truth: float
    gained: tuple[str, ...]
    lost: tuple[str, ...]
    largest: str
    largest_change: float


@dataclass(frozen=True, slots=True)
class BothMoves:
    """Both ways of moving one strength; None where the scale ends."""

    strength: Strength
    down: StrengthMove | None
    up: StrengthMove | None

    @property
    def shifts(self) -> tuple[StrengthMove, ...]:
        """The ways it can be moved."""
        return tuple(shift for shift in (self.down, self.up) if shift is not None)

    @property
    def swing(self) -> float:
        """How far the mean probability of the true cause goes, from the lowest to the highest."""
        changes = [0.0, *(shift.truth for shift in self.shifts)]
        return max(changes) - min(changes)


@dataclass(frozen=True, slots=True)
class Sensitivity:
    """What every strength does, the strongest first; `cases` and `truth` are what it was held
    against: how many worked cases, and the mean probability of their true causes."""

    effects: tuple[BothMoves, ...]
    cases: int
    truth: float
    skipped: tuple[Path, ...]


def sensitivity(
    stack: Stack,
    started: Callable[[int], None] = lambda count: None,
    progress: Callable[[], None] = lambda: None,
) -> Sensitivity | None:
    """Every strength moved by itself; None where there are no worked cases.

    `started` is told how many strengths there are. Raises `FileProblems`.
    """
    rules = load_packs(stack)
    paths, left_out = own_cases(stack, rules)
    if not paths:
        return None
    cases = [load_worked_case(rules, path) for path in paths]
    jobs = [(stack, strength) for strength in strengths(rules)]
    started(len(jobs))
    effects = on_every_core(_effect, jobs, progress, CHUNK)
    bench = Bench(Assessor(rules), cases)
    return Sensitivity(tuple(tornado(effects)), len(cases), bench.truth, tuple(left_out))


def tornado(effects: Iterable[BothMoves]) -> list[BothMoves]:
    """Effects by swing, the largest first (ties by cause and what it shows)."""
    return sorted(
        effects, key=lambda e: (-e.swing, e.strength.cause, e.strength.shows, e.strength.state)
    )


class Bench:
    """Worked cases gathered once, to be ranked with one strength after another moved."""

    def __init__(self, assessor: Assessor, cases: Sequence[WorkedCase]) -> None:
        self.rules: RuleBase = assessor.rules
        network = assessor.model.network
        # a copy of its own to write moved strengths into
        self._network: Network = replace(network, log_cdf=network.log_cdf.copy())
        self._weigher = Weigher(assessor.rules, self._network)
        self._cases = [_Gathered(assessor, case) for case in cases]

    @property
    def first(self) -> dict[str, str]:
        """Case -> the cause that stands first with no strength moved."""
        return {case.name: self._network.causes[case.first] for case in self._cases}

    @property
    def truth(self) -> float:
        """Mean probability of the true causes with no strength moved."""
        return float(np.mean([case.truth for case in self._cases]))

    def effect(self, strength: Strength) -> BothMoves:
        """What moving the strength does, both ways."""
        if strength.is_prior:
            per_100 = self.rules.causes[strength.cause].per_100
            lower, higher = per_100 / PRIOR_FACTOR, min(per_100 * PRIOR_FACTOR, MOST_PER_100)
            return BothMoves(
                strength,
                self._with_prior(strength.cause, per_100, lower),
                self._with_prior(strength.cause, per_100, higher) if higher > per_100 else None,
            )
        return BothMoves(strength, self._with_word(strength, -1), self._with_word(strength, 1))

    def _with_prior(self, cause: str, before: float, after: float) -> StrengthMove:
        gain = _log_odds(after / 100) - _log_odds(before / 100)
        index = self._network.cause_index[cause]
        return self._shift(f"{after:g} in 100", lambda case: case.with_prior(index, gain))

    def _with_word(self, strength: Strength, step: int) -> StrengthMove | None:
        word = next_word(self.rules, strength.word, step)
        if word is None:
            return None
        links = [moved(self.rules, link, {strength.state: step}) for link in strength.links]
        nodes = frozenset(link.node for link in links)
        index = self._network.cause_index[strength.cause]
        before = [self._write(link) for link in links]
        try:
            return self._shift(word, lambda case: case.with_links(index, nodes, self._weigher))
        finally:
            for link, column in zip(links, before, strict=True):
                self._network.log_cdf[self._rows(link), index] = column

    def _rows(self, link: Link) -> slice:
        first = self._network.first_row[link.node]
        return slice(first, first + self._network.sizes[link.node])

    def _write(self, link: Link) -> Floats:
        """Put the link's chances into the network; what stood there before."""
        column = self._network.log_cdf[self._rows(link), self._network.cause_index[link.cause]]
        before = column.copy()
        column[:] = log_of_cumulative(link.chances)
        return before

    def _shift(self, to: str, weigh: Callable[[_Gathered], Weighed | None]) -> StrengthMove:
        gained, lost = [], []
        total = largest = 0.0
        where = ""
        for case in self._cases:
            weighed = weigh(case)
            if weighed is None:
                continue
            first, truth = case.outcome(weighed)
            change = truth - case.truth
            total += change
            if abs(change) > abs(largest):
                largest, where = change, case.name
            was, now = case.first in case.true, first in case.true
            if now and not was:
                gained.append(case.name)
            elif was and not now:
                lost.append(case.name)
        mean = total / len(self._cases) if self._cases else 0.0
        return StrengthMove(to, mean, tuple(gained), tuple(lost), where, largest)


@dataclass(frozen=True, slots=True)
class Weighed:
    """Marginals before they are scaled to add up, and the sum of all weights."""

    marginal: Floats
    total: float


class _Gathered:
    """A worked case as evidence, with its weights under the pack as written."""

    def __init__(self, assessor: Assessor, worked: WorkedCase) -> None:
        belief = assessor.model.believe(worked.case)
        index = assessor.model.network.cause_index
        self.name = worked.name
        self.true = tuple(index[cause] for cause in worked.truth)
        self._belief: Belief = belief
        self._able: Flags = assessor.model.weigher.able(belief.evidence)
        self._settled = assessor.rules.policy.settled
        log_weights = belief.prior + belief.likelihoods.sum(axis=0)
        self._top = float(log_weights.max())
        self._weights: Floats = np.exp(log_weights - self._top)
        self._apart: Flags = belief.bystanders.odds == 0
        everything = np.arange(len(belief.sets))
        self._base = Weighed(self._marginals(everything, self._weights), self._weights.sum())
        self.first, self.truth = self.outcome(self._base)

    def outcome(self, weighed: Weighed) -> tuple[int, float]:
        """The cause ranked first, and the mean probability of the true ones."""
        marginal = weighed.marginal / weighed.total
        relevant = self._able | (self._apart & (marginal >= self._settled))
        order = np.where(relevant, marginal, -1.0) - 2.0 * self._belief.gone
        return int(np.argmax(order)), float(np.mean(marginal[list(self.true)]))

    def with_prior(self, cause: int, gain: float) -> Weighed | None:
        """With ln prior odds of a cause raised by `gain`; None where that changes nothing."""
        rows = self._holding(cause)
        return self._changed(rows, self._weights[rows] * math.exp(gain)) if len(rows) else None

    def with_links(self, cause: int, nodes: frozenset[str], weigher: Weigher) -> Weighed | None:
        """With the cause's links to `nodes` as `weigher` has them; None where nothing was seen."""
        belief = self._belief
        touched = [bool(nodes.intersection(item.nodes)) for item in belief.evidence]
        rows = self._holding(cause) if any(touched) else np.empty(0, dtype=np.intp)
        if not len(rows):
            return None
        sets = belief.sets.take(rows)
        total = belief.prior[rows] - self._top
        for item, is_touched, kept in zip(
            belief.evidence, touched, belief.likelihoods, strict=True
        ):
            total = total + (weigher.log_likelihood(sets, item) if is_touched else kept[rows])
        return self._changed(rows, np.exp(total))

    def _changed(self, rows: Indices, weights: Floats) -> Weighed:
        change = weights - self._weights[rows]
        marginal = self._base.marginal + self._marginals(rows, change)
        return Weighed(np.maximum(marginal, 0.0), self._base.total + float(change.sum()))

    def _holding(self, cause: int) -> Indices:
        return np.flatnonzero((self._belief.sets.members == cause).any(axis=1))

    def _marginals(self, rows: Indices, weights: Floats) -> Floats:
        belief = self._belief
        marginal = belief.sets.take(rows).marginals(weights)
        if self._apart[list(self.true)].all():
            return marginal
        others = Bystanders(belief.bystanders.odds, belief.bystanders.room[rows])
        return marginal + others.marginals(weights)


def _log_odds(share: float) -> float:
    return math.log(share) - math.log1p(-share)


def _effect(job: tuple[Stack, Strength]) -> BothMoves:
    stack, strength = job
    return _bench(stack).effect(strength)


@functools.cache
def _bench(stack: Stack) -> Bench:
    rules = load_packs(stack)
    cases = [load_worked_case(rules, path) for path in own_cases(stack, rules)[0]]
    return Bench(Assessor(rules), cases)
