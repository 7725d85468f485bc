"""Let a policy work on a simulated machine and note what it cost and what came of it."""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.case import Answered, Case, Corrected, Insisted, Rode, standing
from diagnose.interview import Workshop
from diagnose.planning import OBSERVING
from diagnose.simulation.machine import SimulatedMachine, Truth
from diagnose.simulation.policies import Policy

MOST_STEPS = 80


@dataclass(frozen=True, slots=True)
class Outcome:
    """How a simulated case went. `minutes` counts parts, rides and handing over as the pack does.

    `first` says whether a true cause stood first when the first correction was chosen (or at the
    end, when none was), `top_three` whether all true causes that can give the complaint stood among
    the first three.
    """

    truth: Truth
    minutes: float
    observations: int
    corrections: int
    cured: bool
    first: bool
    top_three: bool
    confidence: float


def run_case(workshop: Workshop, truth: Truth, seed: int, policy: Policy) -> Outcome:
    """Work one case from complaint to cure or hand-over."""
    rules = workshop.rules
    machine = SimulatedMachine(rules, truth, seed)
    case = Case(truth.machine, {}, (truth.complaint,))
    minutes = 0.0
    before: frozenset[str] = frozenset()
    judged: tuple[bool, bool, float] | None = None
    for _ in range(MOST_STEPS):
        assessment = workshop.assess(case)
        step = policy.choose(workshop, case, assessment)
        if judged is None and step.kind in ("correct", "hand-over"):
            judged = _judge(
                truth,
                [c.cause for c in assessment.ranking.causes if c.relevant],
                assessment.ranking.causes[0].probability,
            )
        if step.kind in ("close", "hand-over"):
            break
        if step.kind in OBSERVING.values():
            minutes += step.minutes + rules.policy.attention_minutes
            case = case.with_event(machine.answer(step.target))
        elif step.kind == "check-again":
            case = case.with_event(Insisted(step.target))
        elif step.kind == "correct":
            entry = rules.corrections[step.target]
            minutes += entry.minutes + rules.policy.parts_minutes[entry.parts]
            machine.correct(step.target)
            case = case.with_event(Corrected(step.target))
        elif step.kind == "confirm":
            minutes += rules.policy.ride_minutes
            case = case.with_event(Rode(machine.ride(before)))
            before = machine.fixed
    now = standing(case)
    proven = bool(now.rides) and now.rides[-1].report == "gone"
    if not proven:
        minutes += rules.policy.hand_over_minutes
    observations = sum(isinstance(event, Answered) for event in case.events)
    first, top_three, confidence = judged or (False, False, 0.0)
    return Outcome(
        truth,
        minutes,
        observations,
        len(now.corrections),
        proven and machine.is_cured,
        first,
        top_three,
        confidence,
    )


def _judge(truth: Truth, ranked: list[str], confidence: float) -> tuple[bool, bool, float]:
    able = [cause for cause in truth.causes if cause in ranked]
    first = bool(ranked) and ranked[0] in truth.causes
    return first, all(cause in ranked[:3] for cause in able), confidence
