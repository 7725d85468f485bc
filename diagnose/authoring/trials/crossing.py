"""A machine simulated by one pack, worked on with another.

What the pack at work knows and the other does not, nobody can tell: it is answered 'don't know'. A
correction does what the machine's own pack says it does.
"""

from __future__ import annotations

from diagnose.advice.workshop import Workshop
from diagnose.authoring.trials.policies import Policy
from diagnose.authoring.trials.run import Decision, Machine, Outcome, work
from diagnose.case.events import Answered, Case, Complained, RideReport
from diagnose.simulation.bikes import SimulatedMachine, Truth
from rules.rulebase import RuleBase
from rules.units.quantities import BadQuantity


class Crossing:
    """A simulated machine as the users of another pack see it."""

    def __init__(self, machine: Machine, known: RuleBase, working: RuleBase) -> None:
        self._machine = machine
        self._known = known
        self._working = working

    def answer(self, observation: str) -> Answered:
        """The machine's answer where both packs understand it, else 'don't know'."""
        if observation not in self._known.observations:
            return Answered(observation)
        answer = self._machine.answer(observation)
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
        self._machine.correct(correction)

    def ride(self, before: frozenset[str]) -> RideReport:
        """What the rider reports."""
        return self._machine.ride(before)

    @property
    def fixed(self) -> frozenset[str]:
        """The true causes that have been put right."""
        return self._machine.fixed

    @property
    def is_cured(self) -> bool:
        """Whether nothing is left that produces the complaint."""
        return self._machine.is_cured


def run_across(
    workshop: Workshop, known: RuleBase, truth: Truth, seed: int, policy: Policy
) -> Outcome:
    """Work a case that `known` drew and simulates. One whose complaint the pack at work does not
    have is handed over as it comes."""
    if not knows(workshop.rules, truth.complaint):
        decision = Decision((), truth.causes, (), False, False, {})
        return Outcome(truth, decision, workshop.rules.policy.hand_over_minutes, 0, 0, False)
    traits = {
        trait: option
        for trait, option in truth.machine.items()
        if trait in workshop.rules.traits and option in workshop.rules.traits[trait].options
    }
    machine = Crossing(SimulatedMachine(known, truth, seed), known, workshop.rules)
    return work(workshop, Case(traits, {}, (truth.complaint,)), truth, machine, policy)


def knows(rules: RuleBase, complained: Complained) -> bool:
    """Whether the pack has the complaint, at its place if it has one."""
    entry = rules.complaints.get(complained.complaint)
    return entry is not None and (complained.place is None or complained.place in entry.places)
