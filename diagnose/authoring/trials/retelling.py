"""A worked case told from its complaints on, one answer at a time, to whoever asks.

What the story does not tell is answered 'don't know'. Once no true cause is left that shows on what
is looked at, it looks normal again. The rider of a story reports truly: gone when all its true
causes are put right, better when one more of them is, else the same.
"""

from __future__ import annotations

from diagnose.advice.workshop import Workshop
from diagnose.authoring.trials.policies import Policy
from diagnose.authoring.trials.run import Outcome, work
from diagnose.case.events import Answered, Case, Complained, Corrected, RideReport, standing
from diagnose.case.files import WorkedCase
from diagnose.simulation.bikes import Truth
from rules.rulebase import RuleBase


class Retold:
    """The machine of a story."""

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

    def ride(self, before: frozenset[str]) -> RideReport:
        """What the rider reports."""
        if self.is_cured:
            return "gone"
        return "better" if self._fixed - before else "same"

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


def retell(workshop: Workshop, worked: WorkedCase, policy: Policy) -> Outcome:
    """Work a story from its complaints."""
    found = as_found(worked.case)
    complaints = tuple(event for event in found.events if isinstance(event, Complained))
    truth = Truth(worked.truth, complaints[0], found.machine)
    start = Case(found.machine, found.targets, complaints)
    return work(workshop, start, truth, Retold(workshop.rules, worked), policy)
