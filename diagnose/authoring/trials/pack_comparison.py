"""Two packs on the same cases: what differs, and which differences are more than noise."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from diagnose.authoring.trials.measures import MEASURES, TrialMeasure
from diagnose.authoring.trials.working import CaseOutcome
from diagnose.simulation.intervals import Average, figure, flip_test, holm

MORE_THAN_NOISE = 0.05


@dataclass(frozen=True, slots=True)
class MeasureDifference:
    """The second pack less the first on one measure, over the same cases.

    `better` and `worse` count the cases where the second did better or worse. `chance` is how often
    so large a mean difference would come of tossing a coin for each case's sign; `adjusted` allows
    for all the differences looked at together. `before` is the mean of the first pack.
    """

    cases: str
    measure: TrialMeasure
    difference: Average
    better: int
    worse: int
    same: int
    chance: float
    adjusted: float
    before: float = 0.0

    @property
    def is_more_than_noise(self) -> bool:
        """Whether it would come by chance less than one time in twenty, all of them looked at."""
        return self.adjusted < MORE_THAN_NOISE

    @property
    def matters(self) -> bool:
        """Whether it is more than noise and large enough to change something for a workshop."""
        least = max(self.measure.matters, self.measure.matters_share * abs(self.before))
        return self.is_more_than_noise and abs(self.difference.mean) >= least

    @property
    def is_for_the_better(self) -> bool:
        """Whether the second pack does better by it."""
        return (self.difference.mean > 0) == self.measure.more_is_better


@dataclass(frozen=True, slots=True)
class PairedCases:
    """The same cases, in the same order, under both packs, with what is measured of them."""

    title: str
    names: tuple[str, ...]
    first: tuple[CaseOutcome, ...]
    second: tuple[CaseOutcome, ...]
    measures: tuple[TrialMeasure, ...] = MEASURES


def compare(groups: Sequence[PairedCases]) -> list[MeasureDifference]:
    """Every measure of every group that has cases, allowing for how many there are together."""
    rows = []
    for group in groups:
        pairs = [_alike(one, two) for one, two in zip(group.first, group.second, strict=True)]
        for measure in group.measures if group.names else ():
            apart = [measure.of(two) - measure.of(one) for one, two in pairs]
            before = sum(measure.of(one) for one, _ in pairs) / len(pairs)
            rows.append((group.title, measure, apart, before, flip_test(apart)))
    adjusted = holm([chance for *_, chance in rows])
    return [
        _difference(title, measure, apart, chance, held, before)
        for (title, measure, apart, before, chance), held in zip(rows, adjusted, strict=True)
    ]


def _alike(one: CaseOutcome, two: CaseOutcome) -> tuple[CaseOutcome, CaseOutcome]:
    """The outcomes, their chances only those of causes that both packs know or that are true, so
    that a cause more is not by itself a worse score."""
    mine, its = one.decision.chances, two.decision.chances
    if mine.keys() == its.keys():
        return one, two
    kept = (mine.keys() & its.keys()) | set(one.decision.true) | set(two.decision.true)
    first, second = (
        replace(o, decision=replace(o.decision, chances={k: v for k, v in c.items() if k in kept}))
        for o, c in ((one, mine), (two, its))
    )
    return first, second


def _difference(
    cases: str,
    measure: TrialMeasure,
    apart: Sequence[float],
    chance: float,
    adjusted: float,
    before: float,
) -> MeasureDifference:
    sign = 1.0 if measure.more_is_better else -1.0
    better = sum(sign * value > 1e-9 for value in apart)
    worse = sum(sign * value < -1e-9 for value in apart)
    same = len(apart) - better - worse
    mean = figure(apart)
    return MeasureDifference(cases, measure, mean, better, worse, same, chance, adjusted, before)


@dataclass(frozen=True, slots=True)
class ChangedDecision:
    """A case whose decision differs between the packs."""

    case: str
    true: tuple[str, ...]
    first: str
    second: str
    was_right: bool
    is_right: bool


def changed(group: PairedCases) -> list[ChangedDecision]:
    """The cases where the second pack names another cause first, those gone wrong before the others
    and those put right last."""
    found = [
        ChangedDecision(
            name,
            one.truth.causes,
            one.decision.named,
            two.decision.named,
            one.decision.first,
            two.decision.first,
        )
        for name, one, two in zip(group.names, group.first, group.second, strict=True)
        if one.decision.named != two.decision.named
    ]
    return sorted(found, key=lambda c: (c.is_right - c.was_right, c.case))
