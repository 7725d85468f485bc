"""Ways of working through a case: the engine's own, and simpler ones to hold it against."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from diagnose.advice.planning import OBSERVING, Step
from diagnose.case.events import Case, standing
from diagnose.diagnosis import Assessment, Workshop


class Policy(Protocol):
    """Chooses the next step of a case."""

    def choose(self, workshop: Workshop, case: Case, assessment: Assessment) -> Step:
        """The step to take now."""
        ...


class EnginePolicy:
    """What the program itself advises."""

    def choose(self, workshop: Workshop, case: Case, assessment: Assessment) -> Step:
        """The advised step."""
        return assessment.step


class ChecklistPolicy:
    """A fixed list of observations for every bike, then corrections by probability.

    Safety and one change at a time are kept: the list only replaces the choice of what to look at.
    """

    def __init__(self, checklist: Sequence[str]) -> None:
        self._checklist = tuple(checklist)

    def choose(self, workshop: Workshop, case: Case, assessment: Assessment) -> Step:
        """The next open item of the list; when it is done, the likeliest cause's correction."""
        step = assessment.step
        if step.kind in ("complain", "close", "confirm", "check-again"):
            return step
        now = standing(case)
        hidden = assessment.belief.findings.not_applicable
        for name in self._checklist:
            if name not in now.answers and name not in hidden:
                entry = workshop.rules.observations[name]
                return Step(OBSERVING[entry.kind], name, None, entry.minutes)
        return likeliest_correction(workshop, case, assessment)


def likeliest_correction(workshop: Workshop, case: Case, assessment: Assessment) -> Step:
    """Correct the most probable cause that has not been, or hand over when none is left."""
    now = standing(case)
    for item in assessment.ranking.causes:
        correction = workshop.rules.causes[item.cause].correction
        open_still = correction not in now.corrections and correction not in now.declined
        if item.relevant and open_still and item.probability >= 0.02:
            minutes = workshop.rules.corrections[correction].minutes
            return Step("correct", correction, None, minutes)
    return Step("hand-over", "", None, workshop.rules.policy.hand_over_minutes)
