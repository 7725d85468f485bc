"""A case gone through again, step by step: what was known, what was chosen, what was better."""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.advice.planning import OBSERVING, Step
from diagnose.case.events import Answered, Case, Rode
from diagnose.case.figures import figure_of
from diagnose.training.play.encounter import SHOWN, Encounter, Taken
from diagnose.training.play.faults import Fault
from diagnose.training.play.moves import (
    Correct,
    HandBack,
    HandOver,
    Move,
    Observe,
    Recheck,
    same_step,
)
from diagnose.words.answers import answer_text
from diagnose.words.chances import duration
from diagnose.words.figure_words import held_to, short_figure
from diagnose.words.step_words import step_text, why_text
from rules.rulebase import RuleBase

# a loss of less than this many minutes is not worth a word
WORTH_A_WORD = 0.5


@dataclass(frozen=True, slots=True)
class ReviewStep:
    """One step gone through again. Costs are expected minutes from then on.

    `shown` marks a technician's; `leading` and `after` are the likeliest causes before and after
    it; `harm` says what work that was not needed has left, "" for nothing; `parts_minutes` of
    `minutes` are what its parts count as.
    """

    number: int
    shown: bool
    case: Case
    leading: tuple[tuple[str, float], ...]
    move: Move
    did: str
    result: str
    minutes: float
    advised: Step
    advised_text: str
    advised_why: str
    chosen_cost: float
    advised_cost: float
    loss: float
    faults: tuple[Fault, ...]
    better: str
    harm: str
    after: tuple[tuple[str, float], ...]
    parts_minutes: float


def review(encounter: Encounter) -> tuple[ReviewStep, ...]:
    """Every step so far."""
    now = tuple(encounter.view().chances.items())[:SHOWN]
    befores = [step.leading for step in encounter.steps]
    return tuple(
        _step(encounter.assessor.rules, step, after)
        for step, after in zip(encounter.steps, [*befores[1:], now], strict=False)
    )


def move_text(rules: RuleBase, move: Move) -> str:
    """A move in words."""
    match move:
        case Observe(observation=name):
            return rules.observations[name].ask
        case Correct(correction=name, causes=causes):
            meant = ", ".join(rules.causes[cause].title for cause in causes)
            return f"{rules.corrections[name].title} (for: {meant})"
        case Recheck(rule=name):
            return f"Checked again: {rules.rules[name].then.contradiction}"
        case HandOver(causes=causes):
            meant = ", ".join(rules.causes[cause].title for cause in causes)
            return f"Handed over undiagnosed{f', suspecting: {meant}' if meant else ''}"
        case HandBack():
            return "Handed back to the customer"
        case _:
            return "Sent for a ride"


def result_text(rules: RuleBase, taken: Taken) -> str:
    """What came of a step, in words."""
    match taken.event:
        case Answered(observation=name):
            done = f"; that has put right: {rules.causes[taken.cured].title}" if taken.cured else ""
            return f"{answer_text(rules, taken.event)}{_target(rules, taken, name)}{done}"
        case Rode(report=report):
            return report
        case None if not isinstance(taken.move, HandOver | HandBack):
            return "as before"
        case _:
            return ""


def _target(rules: RuleBase, taken: Taken, observation: str) -> str:
    """What a reading should be, and whose figure that is; empty where there is none."""
    entry = rules.observations[observation]
    if not isinstance(taken.event, Answered) or taken.event.reading is None or not entry.target:
        return ""
    figure = figure_of(rules, taken.before, entry.target).read_in(taken.event.reading.unit)
    return f", {held_to(entry)} {short_figure(figure)}"


def _step(rules: RuleBase, taken: Taken, after: tuple[tuple[str, float], ...]) -> ReviewStep:
    heading = step_text(rules, taken.before, taken.advised).heading
    why = why_text(rules, taken.advised)
    return ReviewStep(
        taken.number,
        taken.shown,
        taken.before,
        taken.leading,
        taken.move,
        move_text(rules, taken.move),
        result_text(rules, taken),
        taken.minutes,
        taken.advised,
        heading,
        why,
        taken.cost,
        taken.advised_cost,
        taken.loss,
        taken.faults,
        _better(taken, heading, why),
        _harm(rules, taken),
        after,
        _parts_minutes(rules, taken.move),
    )


def _parts_minutes(rules: RuleBase, move: Move) -> float:
    if not isinstance(move, Correct):
        return 0.0
    return rules.policy.parts_minutes[rules.corrections[move.correction].parts]


def _harm(rules: RuleBase, taken: Taken) -> str:
    if taken.harm is None or not isinstance(taken.move, Correct):
        return ""
    entry = rules.corrections[taken.move.correction]
    return f"It was not needed, and left: {rules.causes[taken.harm].title}. {entry.goes_wrong}"


def _better(taken: Taken, heading: str, why: str) -> str:
    """What would have been better and why; empty where nothing would."""
    if same_step(taken.move, taken.advised):
        return ""
    if taken.loss < WORTH_A_WORD and not taken.faults:
        return ""
    verb = "First" if taken.advised.kind in OBSERVING.values() else "Better"
    saved = duration(round(taken.loss))
    cost = f" It was expected to save {saved}." if taken.loss >= 1 else ""
    stop = "" if heading.endswith((".", "?", "!", ":")) else "."
    return f"{verb}: {heading}{stop} {why[:1].upper()}{why[1:]}{cost}"
