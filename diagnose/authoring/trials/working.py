"""Let a policy work on a bike, and note what it cost and what came of it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

from diagnose.advice.assessor import Assessment, Assessor
from diagnose.advice.planning import OBSERVING, Step
from diagnose.case.events import (
    Answered,
    Case,
    Complained,
    Corrected,
    Insisted,
    RideReport,
    standing,
)
from diagnose.inference.posterior import Ranking
from diagnose.simulation.simulated_bike import SimulatedBike, Truth


class WayOfWorking(Protocol):
    """A policy: it chooses the next step of a case."""

    def choose(self, assessor: Assessor, case: Case, assessment: Assessment) -> Step:
        """The step to take now."""
        ...


class ProgramPolicy:
    """The policy of the program: it does what is advised."""

    def choose(self, assessor: Assessor, case: Case, assessment: Assessment) -> Step:
        """The step that the assessment advises."""
        return assessment.step


class ChecklistPolicy:
    """A fixed list of observations for every bike, then corrections by probability.

    Safety and one change at a time are kept: the list only replaces the choice of what to look at.
    """

    def __init__(self, checklist: Sequence[str]) -> None:
        self._checklist = tuple(checklist)

    def choose(self, assessor: Assessor, case: Case, assessment: Assessment) -> Step:
        """The next open item of the list; when it is done, the likeliest cause's correction."""
        step = assessment.step
        if step.kind in ("complain", "close", "confirm", "check-again"):
            return step
        now = standing(case)
        hidden = assessment.belief.findings.not_applicable
        for name in self._checklist:
            if name not in now.answers and name not in hidden:
                entry = assessor.rules.observations[name]
                return Step(OBSERVING[entry.kind], name, None, entry.minutes)
        return likeliest_correction(assessor, case, assessment)


def likeliest_correction(assessor: Assessor, case: Case, assessment: Assessment) -> Step:
    """Correct the most probable cause that has not been, or hand over when none is left."""
    now = standing(case)
    for item in assessment.ranking.causes:
        correction = assessor.rules.causes[item.cause].correction
        open_still = correction not in now.corrections and correction not in now.declined
        if item.relevant and open_still and item.probability >= 0.02:
            minutes = assessor.rules.corrections[correction].minutes
            return Step("correct", correction, None, minutes)
    minutes = assessor.rules.policy.minutes_to_hand_over(now.person)
    return Step("hand-over", "", None, minutes)


MOST_STEPS = 80


class TrialBike(Protocol):
    """A bike that a policy works on: it answers, is corrected and is ridden."""

    def answer(self, observation: str) -> Answered:
        """What making this observation now shows."""
        ...

    def correct(self, correction: str) -> None:
        """Carry a correction out."""
        ...

    def ride(self, before: frozenset[str], about: Complained | None = None) -> RideReport:
        """What the rider reports of a complaint, given which causes had been put right at the ride
        before."""
        ...

    @property
    def fixed(self) -> frozenset[str]:
        """The true causes that have been put right."""
        ...

    @property
    def is_cured(self) -> bool:
        """Whether nothing is left that produces the complaint."""
        ...


@dataclass(frozen=True, slots=True)
class Decision:
    """The ranking of a case when its first correction was chosen, or when it was handed over.

    `leading` are the first three causes that could give the complaint, `true` the true causes and
    `able` those of them that can give it. `first` says whether a true cause stood first, and
    `top_three` whether all of `able` stood among the first three, or the first five where there are
    several true causes. `chances` holds the probability of every cause the bike can have. `minutes`
    and `observations` are what it took until then.
    """

    leading: tuple[str, ...]
    true: tuple[str, ...]
    able: tuple[str, ...]
    first: bool
    top_three: bool
    chances: Mapping[str, float]
    minutes: float = 0.0
    observations: int = 0

    @property
    def named(self) -> str:
        """The cause that stood first, empty where none could give the complaint."""
        return self.leading[0] if self.leading else ""


@dataclass(frozen=True, slots=True)
class CaseOutcome:
    """How a case went. `minutes` counts parts, rides and handing over as the pack does."""

    truth: Truth
    decision: Decision
    minutes: float
    observations: int
    corrections: int
    cured: bool


def run_case(assessor: Assessor, truth: Truth, seed: int, policy: WayOfWorking) -> CaseOutcome:
    """Work one simulated case from complaint to cure or hand-over."""
    bike = SimulatedBike(assessor.rules, truth, seed)
    said = (truth.complaint, *truth.also)
    return work(assessor, Case(truth.machine, {}, said), truth, bike, policy)


def work(
    assessor: Assessor,
    case: Case,
    truth: Truth,
    bike: TrialBike,
    policy: WayOfWorking,
    more: Callable[[Case], Sequence[Complained]] = lambda case: (),
) -> CaseOutcome:
    """Work a case from what is told to cure or hand-over. `more` is what the rider still complains
    of where nothing is left of what was told."""
    rules = assessor.rules
    minutes = 0.0
    before: frozenset[str] = frozenset()
    decision: Decision | None = None
    for _ in range(MOST_STEPS * len(truth.causes)):
        assessment = assessor.assess(case)
        step = policy.choose(assessor, case, assessment)
        if decision is None and step.kind in ("correct", "close", "hand-over"):
            decision = judge(truth.causes, assessment.ranking, minutes, answers_in(case))
        if step.kind == "close" and (told := more(case)):
            for complaint in told:
                case = case.with_event(complaint)
            continue
        if step.kind in ("close", "hand-over"):
            break
        if step.kind in OBSERVING.values():
            minutes += step.minutes + rules.policy.attention_minutes
            case = case.with_event(bike.answer(step.target))
        elif step.kind == "check-again":
            case = case.with_event(Insisted(step.target))
        elif step.kind == "correct":
            entry = rules.corrections[step.target]
            minutes += entry.minutes + rules.policy.parts_minutes[entry.parts]
            bike.correct(step.target)
            case = case.with_event(Corrected(step.target))
        elif step.kind == "confirm":
            minutes += rules.policy.ride_minutes
            now = standing(case)
            for about in now.asked:
                case = case.with_event(now.told(bike.ride(before, about), about))
            before = bike.fixed
    if decision is None:
        ranking = assessor.assess(case).ranking
        decision = judge(truth.causes, ranking, minutes, answers_in(case))
    now = standing(case)
    if not now.is_proven:
        minutes += rules.policy.minutes_to_hand_over(now.person)
    return CaseOutcome(
        truth,
        decision,
        minutes,
        answers_in(case),
        len(now.corrections),
        now.is_proven and bike.is_cured,
    )


def judge(
    true: tuple[str, ...], ranking: Ranking, minutes: float = 0.0, observations: int = 0
) -> Decision:
    """A ranking held against the true causes."""
    ranked = [entry.cause for entry in ranking.causes if entry.relevant]
    able = tuple(cause for cause in true if cause in ranked)
    return Decision(
        tuple(ranked[:3]),
        true,
        able,
        bool(ranked) and ranked[0] in true,
        all(cause in ranked[: 3 if len(true) == 1 else 5] for cause in able),
        {entry.cause: entry.probability for entry in ranking.causes},
        minutes,
        observations,
    )


def answers_in(case: Case) -> int:
    """How many answers were given."""
    return sum(isinstance(event, Answered) for event in case.events)
