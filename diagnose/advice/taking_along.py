"""What a rider takes along to a workshop: what is known, what is suspected, what to check there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from diagnose.advice.assessor import Assessment, Assessor
from diagnose.advice.sheet import SheetRow, sheet
from diagnose.case.events import Answered, Asking, Case, Declined, Event, standing
from diagnose.inference.evidence import Evidence
from diagnose.inference.found_faults import FoundFault
from diagnose.inference.posterior import RankedCause
from rules.rulebase import RuleBase

_MOST_SUSPECTS = 6
_MOST_ANSWERS = 10
_WORTH_ITS_LINE = 1.0
"""A check that settles nothing is listed where it saves so many minutes (our own choice)."""
_TELLING = 1.0
"""An answer matters where it moves a cause by so many decibans (our own choice)."""


@dataclass(frozen=True, slots=True)
class TakeAlong:
    """`found` is not put right yet; `answers` are those that weigh most, on the suspects
    before anything else; `put_right` are the corrections done. `suspects` are causes with their
    chances, the likeliest first, `nothing_listed` is the chance that it is none that is listed;
    `checks` is what a workshop would look at for them, in order."""

    found: tuple[FoundFault, ...]
    answers: tuple[Evidence, ...]
    put_right: tuple[str, ...]
    suspects: tuple[tuple[str, float], ...]
    nothing_listed: float
    checks: tuple[SheetRow, ...]


def goes_along(assessment: Assessment) -> bool:
    """Whether a rider is to go to a workshop now, with a list."""
    person = standing(assessment.belief.case).person
    return assessment.step.kind == "hand-over" and assessment.model.rules.policy.goes_along(person)


def take_along(assessor: Assessor, assessment: Assessment) -> TakeAlong:
    """The list of a case. What could not be looked at or done here is open again in a workshop.

    Raises what `Assessor.assess` raises.
    """
    rules, case = assessor.rules, assessment.belief.case
    there = assessor.assess(_in_a_workshop(rules, case))
    found = tuple(fault for fault in assessment.faults if not fault.put_right)
    settled = {fault.cause for fault in found}
    might = [
        item
        for item in assessment.ranking.causes
        if item.relevant and not item.corrected and item.cause not in settled
    ]
    suspects = [item for item in might if item.probability >= rules.policy.outside_floor]
    return TakeAlong(
        found,
        _telling(found, might, suspects),
        standing(case).corrections,
        tuple((item.cause, item.probability) for item in suspects[:_MOST_SUSPECTS]),
        assessment.ranking.nothing_listed,
        tuple(
            row
            for row in sheet(assessor, there).rows
            if row.kind in ("next", "settles", "useful")
            and not row.is_work
            and (row.kind != "useful" or row.net >= _WORTH_ITS_LINE)
        ),
    )


def _telling(
    found: Sequence[FoundFault], might: Sequence[RankedCause], suspects: Sequence[RankedCause]
) -> tuple[Evidence, ...]:
    """What was answered, that which weighs most on a suspect first, then what speaks most for or
    against anything else that might be behind it."""
    known = {fault.shown_by for fault in found}
    weight: dict[Evidence, tuple[float, float]] = {}
    for cause in might:
        for item in cause.weights:
            told, by = item.evidence, abs(item.decibans)
            if told.kind == "node" and told not in known and by >= _TELLING:
                on_suspect, on_any = weight.get(told, (0.0, 0.0))
                on_suspect = max(on_suspect, by) if cause in suspects else on_suspect
                weight[told] = (on_suspect, max(on_any, by))
    return tuple(sorted(weight, key=lambda told: weight[told], reverse=True)[:_MOST_ANSWERS])


def _in_a_workshop(rules: RuleBase, case: Case) -> Case:
    """The case as a workshop takes it over. What the rider does not remember stays unknown."""

    def stays(event: Event) -> bool:
        if isinstance(event, Answered):
            return event.is_known or rules.observations[event.observation].way == "memory"
        return not isinstance(event, Asking | Declined)

    workshop = rules.policy.workshop
    who = (Asking(workshop),) if workshop else ()
    events = (*who, *(event for event in case.events if stays(event)))
    return Case(case.machine, case.targets, events)
