"""Simulated bikes with one to four faults at once, worked by the program's advice.

The rider tells a few of the complaints that are felt, and the rest when asked at the end. A fault
that makes no complaint on its bike is felt by nobody; it can only be found by looking.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import count

import numpy as np

from diagnose.advice.assessor import Assessment, Assessor
from diagnose.advice.check_in import check_in
from diagnose.advice.planning import Step
from diagnose.advice.standstill import longest_idle
from diagnose.authoring.trials.measures import Share, share, share_of
from diagnose.authoring.trials.stacks import FEWEST, Stack, assessor_for
from diagnose.authoring.trials.working import (
    CaseOutcome,
    ChecklistPolicy,
    ProgramPolicy,
    WayOfWorking,
    answers_in,
    work,
)
from diagnose.batch.every_core import on_every_core
from diagnose.case.events import Answered, Asking, Case, Complained, Corrected, standing
from diagnose.findings.concluding import Raised
from diagnose.inference.bans import Ban, Danger
from diagnose.inference.found_faults import FoundFault
from diagnose.simulation.intervals import Average, middle
from diagnose.simulation.simulated_bike import SimulatedBike, Truth, applies, draw_truth
from rules.language.conditions import names_in
from rules.loading.loader import load_packs
from rules.rulebase import RuleBase

MOST_FAULTS = 4
TOLD_AT_ONCE = 3
"""So many complaints a rider tells at first, and again at each time of asking."""

# so that no draw of one bike is used for another
_DRAWS_OF_A_BIKE = 1000
_DRAWS_OF_A_TURN = 50
_FURTHER_DRAWS = 7_000_000


@dataclass(frozen=True, slots=True)
class ManyFaultsOutcome:
    """How a bike with several faults went.

    `felt` are the true causes that made a complaint, `put_right` those that were corrected. `wrong`
    are the corrections that put no true cause right, except where a check had truly shown
    something off because of a true cause. `unknown` counts what nobody could say. `closed` says
    that the case was closed, not handed over; `banned` that riding was forbidden at any time,
    `shown` that it was for something that a true cause shows, and `unsafe` that a true cause
    forbids it. `to_advice` counts the answers until the first correction or until it was handed
    over, `to_proof` those until what was told was proven gone, or None where it never was. The
    page of ticks that a named person is shown at first is one answer. `idle` is the longest run
    of answers that moved nothing.
    """

    seed: int
    outcome: CaseOutcome
    felt: frozenset[str]
    put_right: frozenset[str]
    wrong: tuple[str, ...]
    unknown: int
    closed: bool
    unsafe: bool
    banned: bool
    shown: bool
    to_advice: int
    to_proof: int | None
    idle: int

    @property
    def faults(self) -> int:
        """How many true causes the bike had."""
        return len(self.outcome.truth.causes)

    @property
    def felt_put_right(self) -> bool:
        """Whether every fault that was felt was corrected."""
        return self.felt <= self.put_right

    @property
    def all_put_right(self) -> bool:
        """Whether every fault was corrected, those that nobody feels too."""
        return self.put_right.issuperset(self.outcome.truth.causes)


@dataclass(frozen=True, slots=True)
class ManyFaultsCounts:
    """Counts over bikes. Of the bans: `missed` are unsafe bikes without one, `held` safe bikes with
    one for what a true fault shows (a leak above a brake, until that was looked at; a tyre all
    but empty), `needless` safe bikes with any other. `minutes` and `observations` are medians
    of what a bike took, with their intervals; `to_advice` and `to_proof` medians of answers,
    the latter over the bikes that were cured; `idle` is the median of the longest runs of
    answers that moved nothing, `unknown` the share of what was asked that nobody could say."""

    bikes: int
    cured: Share
    felt_put_right: Share
    all_put_right: Share
    none_wrong: Share
    closed: Share
    unsafe: int
    missed: int
    held: int
    needless: int
    minutes: Average
    observations: Average
    to_advice: Average
    to_proof: Average | None
    idle: Average
    unknown: Share


def faults_of(seed: int) -> int:
    """How many faults the bike of a seed has: one to `MOST_FAULTS` in turn."""
    return seed % MOST_FAULTS + 1


def work_bikes(
    stack: Stack,
    seeds: Sequence[int],
    progress: Callable[[], None] = lambda: None,
    person: str = "",
    checklist: Sequence[str] = (),
) -> list[ManyFaultsOutcome]:
    """The bikes of the seeds, worked on every core, in order. Raises `FileProblems` when a pack is
    unsound."""
    load_packs(stack)  # so that a mistake is told here and not by a worker
    jobs = [(stack, seed, person, tuple(checklist)) for seed in seeds]
    return on_every_core(_work_seed, jobs, progress, fewest=FEWEST)


def _work_seed(job: tuple[Stack, int, str, tuple[str, ...]]) -> ManyFaultsOutcome:
    stack, seed, person, checklist = job
    return work_bike(assessor_for(stack), seed, faults_of(seed), person, checklist)


def work_bike(
    assessor: Assessor, seed: int, faults: int, person: str = "", checklist: Sequence[str] = ()
) -> ManyFaultsOutcome:
    """Work the bike of a seed with somebody who knows everything, or with a `person` of the pack's
    policy, who is first shown the page of ticks. A `checklist` takes the place of that page and of
    the program's choice of steps. The same each time."""
    rules = assessor.rules
    bike = draw_bike(rules, seed, faults, person)
    truth = bike.truth
    felt = frozenset[str]().union(*map(bike.behind_one, bike.felt()))

    def more(case: Case) -> Sequence[Complained]:
        known = standing(case).complaints
        return [said for said in bike.felt() if said not in known][:TOLD_AT_ONCE]

    asking = (Asking(person),) if person else ()
    start = Case(truth.machine, {}, (*asking, truth.complaint, *truth.also))
    if person and not checklist:
        start = _ticked(assessor, start, bike)
    policy = _WatchedPolicy(ChecklistPolicy(checklist) if checklist else ProgramPolicy(), start)
    outcome = work(assessor, start, truth, bike, policy, more)
    bans = [ban for made in policy.assessed for ban in made.bans]
    return ManyFaultsOutcome(
        seed,
        outcome,
        felt,
        bike.fixed,
        _wrong(rules, bike, policy),
        _unknown(policy),
        bool(policy.assessed) and policy.assessed[-1].step.kind == "close",
        any(rules.causes[cause].unsafe for cause in truth.causes),
        bool(bans),
        any(bike.shown_at(node) for ban in bans for node in _looked_at(rules, ban)),
        policy.to_advice,
        policy.to_proof,
        longest_idle(policy.assessed),
    )


def _ticked(assessor: Assessor, case: Case, bike: SimulatedBike) -> Case:
    """The case with the ticks of the first page answered."""
    page = check_in(assessor, case)
    for name in (*page.since, *page.shows):
        case = case.with_event(bike.answer(name))
    return case


def draw_bike(rules: RuleBase, seed: int, faults: int, person: str = "") -> SimulatedBike:
    """A bike with so many true causes, drawn from the priors, of which at least one is felt.

    Its complaints stand in chance order; `truth` names those that are told at first. Raises
    `ValueError` when the default bike of the rule base cannot have so many causes.
    """
    for turn in count():
        first = draw_truth(rules, _DRAWS_OF_A_BIKE * seed + turn)
        if faults > sum(applies(cause, first.machine) for cause in rules.causes.values()):
            raise ValueError(f"{rules.info.title} has fewer than {faults} causes for its bike")
        causes = dict.fromkeys(first.causes)
        further = _FURTHER_DRAWS + _DRAWS_OF_A_BIKE * seed + _DRAWS_OF_A_TURN * (turn + 1)
        for number in count(further + 1):
            if len(causes) >= faults:
                break
            causes |= dict.fromkeys(draw_truth(rules, number).causes)
        chosen = tuple(causes)[:faults]
        unheard = SimulatedBike(rules, Truth(chosen, first.complaint, first.machine), seed)
        felt = list(unheard.felt())
        if felt:
            np.random.default_rng(seed).shuffle(felt)
            told = Truth(chosen, felt[0], first.machine, tuple(felt[1:TOLD_AT_ONCE]))
            return SimulatedBike(rules, told, seed, person=rules.policy.people.get(person))
    raise AssertionError("draws never end")


def counts_of(outcomes: Sequence[ManyFaultsOutcome]) -> ManyFaultsCounts:
    """What came of some bikes. At least one."""
    to_proof = [entry.to_proof for entry in outcomes if entry.to_proof is not None]
    return ManyFaultsCounts(
        len(outcomes),
        share([entry.outcome.cured for entry in outcomes]),
        share([entry.felt_put_right for entry in outcomes]),
        share([entry.all_put_right for entry in outcomes]),
        share([not entry.wrong for entry in outcomes]),
        share([entry.closed for entry in outcomes]),
        sum(entry.unsafe for entry in outcomes),
        sum(entry.unsafe and not entry.banned for entry in outcomes),
        sum(entry.shown and not entry.unsafe for entry in outcomes),
        sum(entry.banned and not entry.shown and not entry.unsafe for entry in outcomes),
        middle([entry.outcome.minutes for entry in outcomes]),
        middle([entry.outcome.observations for entry in outcomes]),
        middle([entry.to_advice for entry in outcomes]),
        middle(to_proof) if to_proof else None,
        middle([entry.idle for entry in outcomes]),
        share_of(
            sum(entry.unknown for entry in outcomes),
            sum(entry.outcome.observations for entry in outcomes),
        ),
    )


class _WatchedPolicy:
    """A policy, noting how many answers the first advice and the proof took beyond `start`, whose
    own answers are one. `assessed` has each assessment, with the step that was taken."""

    def __init__(self, policy: WayOfWorking, start: Case) -> None:
        self._policy = policy
        self._page = answers_in(start)
        self.assessed: list[Assessment] = []
        self.advised_after: int | None = None
        self.to_proof: int | None = None

    @property
    def to_advice(self) -> int:
        """The answers until the first advice, or all where none came."""
        if self.advised_after is None:
            return self._beyond(self.case) if self.assessed else 0
        return self.advised_after

    @property
    def case(self) -> Case:
        """The case as it was last known."""
        return self.assessed[-1].belief.case if self.assessed else Case()

    def choose(self, assessor: Assessor, case: Case, assessment: Assessment) -> Step:
        """The step that the policy chooses."""
        step = self._policy.choose(assessor, case, assessment)
        self.assessed.append(replace(assessment, step=step))
        if self.advised_after is None and step.kind in ("correct", "close", "hand-over"):
            self.advised_after = self._beyond(case)
        if self.to_proof is None and standing(case).is_proven:
            self.to_proof = self._beyond(case)
        return step

    def _beyond(self, case: Case) -> int:
        return answers_in(case) - self._page + min(1, self._page)


def _unknown(policy: _WatchedPolicy) -> int:
    return sum(isinstance(e, Answered) and not e.is_known for e in policy.case.events)


def _looked_at(rules: RuleBase, ban: Ban) -> Sequence[str]:
    """The nodes that a ban rests on; none for the chance of danger."""
    match ban:
        case Raised(rule=rule):
            return [name for name in names_in(rules.rules[rule].when) if name in rules.nodes]
        case FoundFault(shown_by=evidence):
            return [evidence.key]
        case Danger():
            return []


def _wrong(rules: RuleBase, bike: SimulatedBike, policy: _WatchedPolicy) -> tuple[str, ...]:
    if not policy.assessed:
        return ()
    right = {rules.causes[cause].correction for cause in bike.truth.causes}
    seen_off = {
        rules.causes[fault.cause].correction
        for fault in policy.assessed[-1].faults
        if bike.shown_at(fault.shown_by.key)
    }
    done = {event.correction for event in policy.case.events if isinstance(event, Corrected)}
    return tuple(sorted(done - right - seen_off))
