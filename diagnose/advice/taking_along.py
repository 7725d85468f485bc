"""What a rider takes along to a workshop: what is known, what is suspected, what to check there."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

from diagnose.advice.assessor import Assessment, Assessor
from diagnose.advice.planning import GUESS, takes_a_ride
from diagnose.advice.pricing import chance_of_any, mended_by
from diagnose.advice.sheet import SheetRow, sheet
from diagnose.case.events import Answered, Asking, Case, Declined, Event, standing
from diagnose.inference.evidence import Evidence
from diagnose.inference.found_faults import FoundFault
from diagnose.inference.posterior import RankedCause
from rules.rulebase import RuleBase

_MOST_SUSPECTS = 6
_MOST_ANSWERS = 10
_MOST_SEEN = 8
_LIKELY, _MOST_FOR_A_LIKELY, _MOST_FOR_OTHERS = 0.25, 3, 1
"""Checks in the list of one suspect, from so likely on, and of one that is less (our own choice).
"""
_WORTH_ITS_LINE = 1.0
"""A check that settles nothing is listed where it saves so many minutes (our own choice)."""
_TELLING = 1.0
"""An answer matters where it moves a cause by so many decibans (our own choice)."""


@dataclass(frozen=True, slots=True)
class Repair:
    """One piece of work with all the suspects that it puts right and their chances, the likeliest
    first, and the chance that any of them is there. `with_it` is what is looked at on its way."""

    correction: str
    chance: float
    causes: tuple[tuple[str, float], ...]
    with_it: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class TakeAlong:
    """`found` is not put right yet; `answers` are those that weigh most, on the suspects before
    anything else, then whatever else was seen of them; `put_right` are the corrections done.
    `repairs` are what the suspects need, the likeliest first, `nothing_listed` is the chance that
    it is none that is listed. `checks` is what a workshop would look at for them, in order, and
    `after` the ride tests that wait until the bike may be ridden."""

    found: tuple[FoundFault, ...]
    answers: tuple[Evidence, ...]
    put_right: tuple[str, ...]
    repairs: tuple[Repair, ...]
    nothing_listed: float
    checks: tuple[SheetRow, ...]
    after: tuple[SheetRow, ...]


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
    repairs = _repairs(assessor, assessment, suspects)
    stays_put = bool(assessment.bans) or not set(rules.policy.carry_cautions).isdisjoint(
        assessor.planner.cautions(assessment.belief, assessor.planner.hand_over(assessment.belief))
    )
    checks = _checks(rules, sheet(assessor, replace(there, bans=())).rows, repairs)
    rides = [row for row in checks if stays_put and takes_a_ride(rules, row.about)]
    return TakeAlong(
        found,
        _telling(assessment, found, might, suspects),
        standing(case).corrections,
        repairs,
        assessment.ranking.nothing_listed,
        tuple(row for row in checks if row not in rides),
        tuple(rides),
    )


def _repairs(
    assessor: Assessor, assessment: Assessment, suspects: Sequence[RankedCause]
) -> tuple[Repair, ...]:
    rules, hidden = assessor.rules, assessment.belief.findings.not_applicable
    known = standing(assessment.belief.case).answers
    together: dict[str, list[tuple[str, float]]] = {}
    for item in suspects:
        same = together.setdefault(rules.causes[item.cause].correction, [])
        same.append((item.cause, item.probability))
    mended = mended_by(assessment.model, assessment.belief)
    repairs = [
        Repair(
            correction,
            chance_of_any(assessment.belief, mended[correction]),
            tuple(causes),
            tuple(
                name
                for name in rules.corrections[correction].makes
                if name not in hidden and not (name in known and known[name].is_known)
            ),
        )
        for correction, causes in together.items()
    ]
    return tuple(sorted(repairs, key=lambda repair: -repair.chance)[:_MOST_SUSPECTS])


def _checks(
    rules: RuleBase, rows: Sequence[SheetRow], repairs: Sequence[Repair]
) -> tuple[SheetRow, ...]:
    """What is worth looking at, outside before inside, and of those what settles the likeliest
    suspect first. Nothing only tells apart what one sure repair puts right, or is looked at with
    likely work anyway, and no unlikely suspect fills the list."""
    policy = rules.policy
    sure = {cause for r in repairs if r.chance >= policy.settled for cause, _ in r.causes}
    on_the_way = {name for r in repairs if r.chance >= GUESS for name in r.with_it}
    order: list[tuple[tuple[bool, float, float, str], SheetRow]] = []
    for row in rows:
        if row.kind not in ("next", "settles", "useful") or row.is_work or row.about in on_the_way:
            continue
        left = tuple(pair for pair in row.settles if pair[0] not in sure)
        if not left and (row.settles or row.net < _WORTH_ITS_LINE):
            continue
        chance = left[0][1] if left else 0.0
        speed = chance / (row.minutes + policy.attention_minutes)
        order.append(((row.opens, -chance, -speed, row.about), replace(row, settles=left)))
    listed: list[SheetRow] = []
    about: Counter[str] = Counter()
    for _, row in sorted(order, key=lambda pair: pair[0]):
        cause, chance = row.settles[0] if row.settles else ("", 0.0)
        about[cause] += 1
        if about[cause] <= (_MOST_FOR_A_LIKELY if chance >= _LIKELY else _MOST_FOR_OTHERS):
            listed.append(row)
    return tuple(listed)


def _telling(
    assessment: Assessment,
    found: Sequence[FoundFault],
    might: Sequence[RankedCause],
    suspects: Sequence[RankedCause],
) -> tuple[Evidence, ...]:
    """What was answered, that which weighs most on a suspect first, then what speaks most for or
    against anything else that might be behind it; and all else that was seen and bears on it."""
    known = {fault.shown_by for fault in found}
    weight: dict[Evidence, tuple[float, float]] = {}
    for cause in might:
        for item in cause.weights:
            told, by = item.evidence, abs(item.decibans)
            if told.kind == "node" and told not in known and by >= _TELLING:
                on_suspect, on_any = weight.get(told, (0.0, 0.0))
                on_suspect = max(on_suspect, by) if cause in suspects else on_suspect
                weight[told] = (on_suspect, max(on_any, by))
    telling = sorted(weight, key=lambda told: weight[told], reverse=True)[:_MOST_ANSWERS]
    observations = assessment.model.rules.observations
    touched = {node for cause in might for node in assessment.model.checks[cause.cause]}
    seen = (
        told
        for told in assessment.belief.evidence
        if told.kind == "node"
        and told not in known
        and told.key in touched
        and told.key in observations
        and observations[told.key].way != "memory"
        and told not in telling
    )
    return (*telling, *list(seen)[:_MOST_SEEN])


def _in_a_workshop(rules: RuleBase, case: Case) -> Case:
    """The case as a workshop takes it over. What the rider does not remember stays unknown."""

    def stays(event: Event) -> bool:
        if isinstance(event, Answered):
            entry = rules.observations[event.observation]
            is_record = entry.kind == "measurement" and not entry.tools and not entry.enters
            return event.is_known or entry.way == "memory" or is_record
        return not isinstance(event, Asking | Declined)

    workshop = rules.policy.workshop
    who = (Asking(workshop),) if workshop else ()
    events = (*who, *(event for event in case.events if stays(event)))
    return Case(case.machine, case.targets, events)
