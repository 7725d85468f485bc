"""When answers move nothing: how many in a row, and what to offer then besides the next question.

An answer to what was asked moves something where a chance changes by the policy's `moved_from`, or
where something else would be done: another correction would come first, a fault is found, riding
is forbidden or no longer, or the next step is no question.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

import numpy as np

from diagnose.advice.assessor import Assessment, Assessor
from diagnose.advice.means import Means
from diagnose.advice.planning import OBSERVING, SETTLED_FROM, Step, beyond_here
from diagnose.advice.reasons import BestGuess, SettlesMost
from diagnose.advice.sheet import sheet
from diagnose.case.events import Answered, Case, Event, Noted, standing
from diagnose.inference.posterior import nothing_left
from diagnose.inference.terms import Floats

SHORT_LOOK = 10.0
"""No handing over is offered while a look of so many minutes at most at a likely cause is open (our
own choice)."""

Effect = Literal["moved", "nothing", "half", "other"]
"""What an event did: `half` is a reading that only means something with the one asked next; `other`
is everything but an answer to what was asked."""


@dataclass(frozen=True, slots=True)
class Standstill:
    """So many answers in a row moved nothing (`idle`), and what there is to do.

    `guess` is the likeliest correction of the plan, or handing over where nothing left to ask or to
    do pays; `settling` is the open check likeliest to settle a suspect, which may be the next step
    itself. Either is None where there is none. `left` counts the checks that the sheet offers, the
    next step included.
    """

    idle: int
    guess: Step | None
    settling: Step | None
    left: int


def standstill(
    assessor: Assessor, assessment: Assessment, assessment_of: Callable[[Case], Assessment]
) -> Standstill | None:
    """What to offer where the case stands; None while answers move something.

    The offer comes after `patience` answers in a row that moved nothing. Who answers on has gone
    on: it comes again after as many more. `assessment_of` gives the assessment of the case as it
    was earlier; it is asked no further back than the latest answer that moved something.
    """
    if not _may_offer(assessment):
        return None
    run: list[tuple[Effect, Assessment]] = []
    for before, event, after in _answers_back_from(assessment, assessment_of):
        effect = effect_of(before, event, after)
        if effect in ("moved", "other"):
            break
        run.append((effect, after))
    since, is_due = 0, False
    for effect, after in reversed(run):
        since = 0 if is_due else since
        since += effect == "nothing"
        is_due = effect == "nothing" and since >= _patience(after) and _may_offer(after)
    if not is_due:
        return None
    idle = sum(effect == "nothing" for effect, _ in run)
    return Standstill(
        idle,
        _best_guess(assessor, assessment),
        _settling(assessor, assessment),
        _left(assessor, assessment),
    )


def longest_idle(assessments: Iterable[Assessment]) -> int:
    """The longest run of answers that moved nothing, in a case assessed after each of its steps,
    oldest first."""
    longest = run = 0
    for before, after in pairwise(assessments):
        added = after.belief.case.events[len(before.belief.case.events) :]
        effect = effect_of(before, added[0], after) if len(added) == 1 else "other"
        run = run + (effect == "nothing") if effect in ("nothing", "half") else 0
        longest = max(longest, run)
    return longest


def effect_of(before: Assessment, event: Event, after: Assessment) -> Effect:
    """What `event` did, which led from one assessment to the other."""
    if not (isinstance(event, Answered) and _asks(before.step)):
        return "other"
    if event.observation != before.step.target:
        return "other"
    if not event.is_known:
        return "nothing"
    if _moved(before, after):
        return "moved"
    together = _tells_with(event.observation, before) & _tells_with(after.step.target, after)
    return "half" if together else "nothing"


def _answers_back_from(
    assessment: Assessment, assessment_of: Callable[[Case], Assessment]
) -> Iterator[tuple[Assessment, Event, Assessment]]:
    """The latest answers, newest first, each with the assessments before and after it; notes are
    passed over, and anything else ends it."""
    after, case = assessment, assessment.belief.case
    while case.events:
        event, case = case.events[-1], case.without_last()
        if isinstance(event, Noted):
            continue
        if not isinstance(event, Answered):
            return
        before = assessment_of(case)
        yield before, event, after
        after = before


def _moved(before: Assessment, after: Assessment) -> bool:
    by = np.abs(after.belief.open_marginal - before.belief.open_marginal).max(initial=0.0)
    nothing = abs(nothing_left(after.belief) - nothing_left(before.belief))
    return bool(
        max(float(by), nothing) >= after.model.rules.policy.moved_from
        or after.plan.corrections[:1] != before.plan.corrections[:1]
        or {fault.cause for fault in after.faults} != {fault.cause for fault in before.faults}
        or bool(after.bans) != bool(before.bans)
        or not _asks(after.step)
    )


def _tells_with(observation: str, assessment: Assessment) -> set[str]:
    """The open nodes that an observation bears on, by itself or with others still to be made."""
    return {option.node for option in assessment.options if option.observation == observation}


def _asks(step: Step) -> bool:
    return step.kind in OBSERVING.values()


def _may_offer(assessment: Assessment) -> bool:
    """Whether something else could be done than what is asked: safety goes before any guess."""
    return _asks(assessment.step) and assessment.step.constraint != "safety first"


def _patience(assessment: Assessment) -> int:
    return assessment.model.rules.policy.patience


def _best_guess(assessor: Assessor, assessment: Assessment) -> Step | None:
    """Nothing is opened on a guess while an outside cause can still be checked, and nothing handed
    over while a short look at a likely cause is open."""
    rules, plan = assessor.rules, assessment.plan
    if not plan.corrections and all(option.net <= 0 for option in assessment.options):
        if _short_look_is_open(assessor, assessment):
            return None
        return assessor.planner.hand_over(assessment.belief)
    shut = _is_shut(assessor, assessment)
    able = {
        correction: chance
        for correction, chance in zip(plan.corrections, plan.chances, strict=True)
        if not (shut and rules.corrections[correction].opens)
    }
    if not able:
        return None
    correction = max(able, key=lambda name: able[name])
    chances = _by_cause(assessment, assessment.belief.open_marginal)
    behind = (cause for cause in chances if rules.causes[cause].correction == correction)
    cause = max(behind, key=lambda name: chances[name])
    minutes = rules.corrections[correction].minutes
    return Step("correct", correction, BestGuess(cause, chances[cause]), minutes)


def _short_look_is_open(assessor: Assessor, assessment: Assessment) -> bool:
    """Whether a look of `SHORT_LOOK` minutes at most can confirm a cause that is likely behind what
    is still felt, unless the work that it needs is sure anyway and not done here."""
    rules, confirms = assessor.rules, assessment.model.confirms
    shares = _by_cause(
        assessment,
        assessor.planner.shares(assessment.belief, standing(assessment.belief.case)),
    )
    sure, _ = beyond_here(assessment.model, assessment.belief) or ("", 0.0)
    looks = (
        option
        for option in assessment.options
        if rules.observations[option.observation].minutes <= SHORT_LOOK
        and not rules.observations[option.observation].opens
    )
    return any(
        shares[cause] >= SETTLED_FROM and rules.causes[cause].correction != sure
        for option in looks
        for cause in confirms.get(option.node, ())
    )


def _settling(assessor: Assessor, assessment: Assessment) -> Step | None:
    """By the chance of an answer times that of the likeliest suspect that the check confirms by
    itself; of those alike to a point in a hundred the shortest."""
    rules = assessor.rules
    means = Means(rules, standing(assessment.belief.case))
    shut = _is_shut(assessor, assessment)
    # no reading before what it cannot be judged without
    first = {o.node for o in assessment.options if o.observation == o.node}
    able = {
        node: (chance, cause)
        for node, (chance, cause) in _confirmed(assessor, assessment).items()
        if node in first
        and chance >= rules.policy.outside_floor
        and not (shut and rules.observations[node].opens)
    }

    def worth(name: str) -> tuple[float, float]:
        return round(able[name][0] * means.chance(name), 2), -rules.observations[name].minutes

    if not able:
        return None
    name = max(able, key=worth)
    chance, cause = able[name]
    entry = rules.observations[name]
    return Step(OBSERVING[entry.kind], name, SettlesMost(cause, chance), entry.minutes)


def _left(assessor: Assessor, assessment: Assessment) -> int:
    """The checks that the sheet offers, what stands next among them."""
    rows = sheet(assessor, assessment).rows
    return sum(row.kind in ("next", "settles", "useful") and not row.is_work for row in rows)


def _confirmed(assessor: Assessor, assessment: Assessment) -> dict[str, tuple[float, str]]:
    """Open node -> the likeliest suspect that it can confirm, with its chance."""
    rules, belief = assessor.rules, assessment.belief
    shares = _by_cause(assessment, assessor.planner.shares(belief, standing(belief.case)))
    chances = _by_cause(assessment, belief.open_marginal)
    suspects = {
        cause
        for cause, share in shares.items()
        if share >= rules.policy.outside_floor and chances[cause] < rules.policy.settled
    }
    confirms = assessment.model.confirms
    shown = {
        option.node: [(chances[c], c) for c in confirms.get(option.node, ()) if c in suspects]
        for option in assessment.options
    }
    return {node: max(pairs) for node, pairs in shown.items() if pairs}


def _by_cause(assessment: Assessment, figures: Floats) -> dict[str, float]:
    return dict(zip(assessment.model.network.causes, figures.tolist(), strict=True))


def _is_shut(assessor: Assessor, assessment: Assessment) -> bool:
    """Whether an outside cause keeps the fork and shock closed."""
    return bool(assessor.planner.outside_still_open(assessment.belief, assessment.options))
