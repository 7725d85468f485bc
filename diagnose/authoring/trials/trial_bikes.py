"""The bikes of a trial that the pack at work did not draw: of worked cases, and of another pack.

A worked case is told from its complaints on, one answer at a time, as it is asked for. What the
story does not tell is answered 'don't know'. What is looked at is normal again once every true
cause that shows there is put right. The rider of a story reports the truth: gone when all true
causes are put right, better when one more of them is, else the same.

A bike drawn by another pack answers 'don't know' to what only the pack at work knows. A correction
does what the bike's own pack says it does.
"""

from __future__ import annotations

from diagnose.advice.assessor import Assessor
from diagnose.authoring.trials.working import CaseOutcome, Decision, TrialBike, WayOfWorking, work
from diagnose.case.events import Answered, Case, Complained, Corrected, RideReport, standing
from diagnose.case.files import WorkedCase
from diagnose.inference.evidence import nodes_of
from diagnose.simulation.simulated_bike import SimulatedBike, Truth
from rules.rulebase import RuleBase
from rules.units.quantities import BadQuantity


class Retold:
    """The bike of a worked case: it shows what the story says."""

    def __init__(self, rules: RuleBase, worked: WorkedCase) -> None:
        self._rules = rules
        self._truth = frozenset(worked.truth)
        self._answers = standing(as_found(worked.case)).answers
        self._fixed: frozenset[str] = frozenset()
        self._shown = {(link.cause, link.node) for link in rules.links if link.cause in self._truth}

    def answer(self, observation: str) -> Answered:
        """What the story says, or what is seen once it is put right."""
        entry = self._rules.observations[observation]
        showing = {cause for cause in self._truth if (cause, observation) in self._shown}
        if showing and showing <= self._fixed:
            is_state = entry.kind != "measurement"
            return Answered(observation, state=entry.normal if is_state else None)
        return self._answers.get(observation, Answered(observation))

    def correct(self, correction: str) -> None:
        """Carry a correction out: every true cause that it puts right is gone."""
        self._fixed |= {
            cause for cause in self._truth if self._rules.causes[cause].correction == correction
        }

    def ride(self, before: frozenset[str], about: Complained | None = None) -> RideReport:
        """What the rider reports."""
        nodes = () if about is None else nodes_of(self._rules, about)
        able = {cause for cause, node in self._shown if node in nodes}
        behind = able or self._truth
        if behind <= self._fixed:
            return "gone"
        return "better" if behind & self._fixed - before else "same"

    @property
    def fixed(self) -> frozenset[str]:
        """The true causes that have been put right."""
        return self._fixed

    @property
    def is_cured(self) -> bool:
        """Whether all true causes are put right."""
        return self._fixed == self._truth


def as_found(case: Case) -> Case:
    """A case as it was before anything was corrected."""
    end = next(
        (n for n, event in enumerate(case.events) if isinstance(event, Corrected)),
        len(case.events),
    )
    return Case(case.machine, case.targets, case.events[:end])


def retell(assessor: Assessor, worked: WorkedCase, policy: WayOfWorking) -> CaseOutcome:
    """Let a policy work on a worked case that is told from its complaints on."""
    found = as_found(worked.case)
    complaints = tuple(event for event in found.events if isinstance(event, Complained))
    truth = Truth(worked.truth, complaints[0], found.machine)
    start = Case(found.machine, found.targets, complaints)
    return work(assessor, start, truth, Retold(assessor.rules, worked), policy)


class Crossing:
    """A simulated bike as the users of another pack see it."""

    def __init__(self, bike: TrialBike, known: RuleBase, working: RuleBase) -> None:
        self._bike = bike
        self._known = known
        self._working = working

    def answer(self, observation: str) -> Answered:
        """The bike's answer where both packs understand it, else 'don't know'."""
        if observation not in self._known.observations:
            return Answered(observation)
        answer = self._bike.answer(observation)
        entry = self._working.observations[observation]
        if answer.state is not None and answer.state in entry.states and entry.unit is None:
            return answer
        if answer.reading is not None and entry.unit is not None:
            try:
                answer.reading.to(entry.unit)
            except BadQuantity:
                return Answered(observation)
            return answer
        return Answered(observation)

    def correct(self, correction: str) -> None:
        """Carry a correction out."""
        self._bike.correct(correction)

    def ride(self, before: frozenset[str], about: Complained | None = None) -> RideReport:
        """What the rider reports."""
        return self._bike.ride(before, about)

    @property
    def fixed(self) -> frozenset[str]:
        """The true causes that have been put right."""
        return self._bike.fixed

    @property
    def is_cured(self) -> bool:
        """Whether nothing is left that produces the complaint."""
        return self._bike.is_cured


def run_across(
    assessor: Assessor, known: RuleBase, truth: Truth, seed: int, policy: WayOfWorking
) -> CaseOutcome:
    """Work a case that `known` drew and simulates. One whose complaint the pack at work does not
    have is handed over as it comes."""
    if not knows(assessor.rules, truth.complaint):
        decision = Decision((), truth.causes, (), False, False, {})
        minutes = assessor.rules.policy.minutes_to_hand_over()
        return CaseOutcome(truth, decision, minutes, 0, 0, False)
    traits = {
        trait: option
        for trait, option in truth.machine.items()
        if trait in assessor.rules.traits and option in assessor.rules.traits[trait].options
    }
    bike = Crossing(SimulatedBike(known, truth, seed), known, assessor.rules)
    return work(assessor, Case(traits, {}, (truth.complaint,)), truth, bike, policy)


def knows(rules: RuleBase, complained: Complained) -> bool:
    """Whether the pack has the complaint, at its place if it has one."""
    entry = rules.complaints.get(complained.complaint)
    return entry is not None and (complained.place is None or complained.place in entry.places)
