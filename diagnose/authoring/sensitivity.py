"""Which strengths the outcomes hang on: each is moved by itself and the worked cases ranked again.

A word goes one word up and one down, a prior is doubled and halved. Facts and findings do not
depend on strengths, so the evidence of each case is gathered once. A strength is moved only in the
cases where something was seen that it bears on.
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
from diagnose.authoring.trials.stacks import Stack
from diagnose.authoring.trials.trial import own_cases
from diagnose.batch.every_core import on_every_core
from diagnose.case.files import WorkedCase, load_worked_case
from diagnose.case.phases import riding_phases
from diagnose.inference.evidence import Weigher
from diagnose.inference.network import Network, links_by_cause
from diagnose.inference.posterior import Belief, chances_of
from diagnose.inference.terms import Flags, Floats
from rules.loading.loader import load_packs
from rules.rulebase import RuleBase

PRIOR_FACTOR = 2.0
Outcome = tuple[int, float]
"""The cause ranked first, and the mean probability of the true ones."""
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
        self._network: Network = replace(
            network, log_cdf=network.log_cdf.copy(), log_odds=network.log_odds.copy()
        )
        self._links = links_by_cause(assessor.rules)
        self._phases = frozenset(riding_phases(assessor.rules))
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
        index = self._network.cause_index[cause]
        nodes = frozenset(link.node for link in self.rules.links if link.cause == cause)
        kept = self._network.log_odds[index]
        self._network.log_odds[index] += _log_odds(after / 100) - _log_odds(before / 100)
        try:
            return self._shift(
                f"{after:g} in 100", lambda case: case.weighed(index, nodes, self._weigher)
            )
        finally:
            self._network.log_odds[index] = kept

    def _with_word(self, strength: Strength, step: int) -> StrengthMove | None:
        word = next_word(self.rules, strength.word, step)
        if word is None:
            return None
        links = [moved(self.rules, link, {strength.state: step}) for link in strength.links]
        nodes = frozenset(link.node for link in links)
        index = self._network.cause_index[strength.cause]
        column = self._network.log_cdf[:, index]
        before = column.copy()
        others = [link for link in self._links[strength.cause] if link.node not in nodes]
        column[:] = self._network.column([*others, *links])
        if nodes & self._phases:  # what is said of one place bears on how the others are read
            nodes |= self._phases
        try:
            return self._shift(word, lambda case: case.weighed(index, nodes, self._weigher))
        finally:
            column[:] = before

    def _shift(self, to: str, weigh: Callable[[_Gathered], Outcome | None]) -> StrengthMove:
        gained, lost = [], []
        total = largest = 0.0
        where = ""
        for case in self._cases:
            weighed = weigh(case)
            if weighed is None:
                continue
            first, truth = weighed
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


class _Gathered:
    """A worked case as evidence, with its outcome under the pack as written."""

    def __init__(self, assessor: Assessor, worked: WorkedCase) -> None:
        belief = assessor.model.believe(worked.case)
        index = assessor.model.network.cause_index
        self.name = worked.name
        self.true = tuple(index[cause] for cause in worked.truth)
        self._belief: Belief = belief
        self._able: Flags = assessor.model.weigher.able(belief.evidence) & belief.applies
        self._settled = assessor.rules.policy.settled
        self._seen = frozenset(node for item in belief.evidence for node in item.nodes)
        self.first, self.truth = self._outcome(belief.marginal)

    def weighed(self, cause: int, nodes: frozenset[str], weigher: Weigher) -> Outcome | None:
        """The outcome as `weigher` has it, which differs in a cause's links to `nodes` or in its
        prior; None where that changes nothing."""
        if not self._belief.applies[cause] or not (nodes & self._seen):
            return None
        question = weigher.question(self._belief.evidence, self._belief.applies)
        return self._outcome(chances_of(question).marginal)

    def _outcome(self, marginal: Floats) -> Outcome:
        relevant = self._able | (marginal >= self._settled)
        order = np.where(relevant, marginal, -1.0) - 2.0 * self._belief.gone
        return int(np.argmax(order)), float(np.mean(marginal[list(self.true)]))


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
