"""Two packs on the same cases: what differs, and which differences are more than noise."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from diagnose.authoring.trials.measures import MEASURES, TrialMeasure
from diagnose.authoring.trials.working import CaseOutcome
from diagnose.simulation.intervals import Average, figure, flip_test, holm

MORE_THAN_NOISE = 0.05


@dataclass(frozen=True, slots=True)
class MeasureDifference:
    """The second pack less the first on one measure, over the same cases.

    `better` and `worse` count the cases where the second did better or worse. `chance` is how often
    so large a mean difference would come of tossing a coin for each case's sign; `adjusted` allows
    for all the differences looked at together.
    """

    cases: str
    measure: TrialMeasure
    difference: Average
    better: int
    worse: int
    same: int
    chance: float
    adjusted: float

    @property
    def is_more_than_noise(self) -> bool:
        """Whether it would come by chance less than one time in twenty, all of them looked at."""
        return self.adjusted < MORE_THAN_NOISE


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
        for measure in group.measures if group.names else ():
            apart = [
                measure.of(two) - measure.of(one)
                for one, two in zip(group.first, group.second, strict=True)
            ]
            rows.append((group.title, measure, apart, flip_test(apart)))
    adjusted = holm([chance for *_, chance in rows])
    return [
        _difference(title, measure, apart, chance, held)
        for (title, measure, apart, chance), held in zip(rows, adjusted, strict=True)
    ]


def _difference(
    cases: str, measure: TrialMeasure, apart: Sequence[float], chance: float, adjusted: float
) -> MeasureDifference:
    sign = 1.0 if measure.more_is_better else -1.0
    better = sum(sign * value > 1e-9 for value in apart)
    worse = sum(sign * value < -1e-9 for value in apart)
    same = len(apart) - better - worse
    return MeasureDifference(cases, measure, figure(apart), better, worse, same, chance, adjusted)


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
