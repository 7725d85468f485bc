"""Hints in three grades: where to think, what kind of step, and the step itself."""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.advice.planning import OBSERVING
from diagnose.inference.confirming import causes_by_node
from diagnose.training.customers.guide import GRADES, Grade
from diagnose.training.play.judging import View
from diagnose.words.step_words import step_text, why_text
from rules.problems import BadInput

_KINDS = {
    "ask": "Ask something.",
    "measure": "Measure something.",
    "inspect": "Look at or feel something on the bench.",
    "ride-test": "Have it ridden to feel something.",
    "correct": "It is time to put something right.",
    "confirm": "What was changed is not proven yet.",
    "check-again": "Two answers do not fit together.",
    "hand-over": "Nothing left here is worth its minutes.",
    "close": "There is nothing left to do.",
}


@dataclass(frozen=True, slots=True)
class Hint:
    """A hint, how much it gives away, and the points it takes off."""

    grade: Grade
    text: str
    points: float


def next_hint(view: View, given: int) -> Hint:
    """The hint after `given` others for the same step. Raises `BadInput` when all are given."""
    if given >= len(GRADES):
        raise BadInput("that was the last hint for this step")
    grade = GRADES[given]
    points = view.judge.guide.scoring.hints[grade]
    if grade == "area":
        return Hint(grade, _area(view), points)
    if grade == "kind":
        return Hint(grade, _KINDS[view.advice.step.kind], points)
    rules = view.judge.assessor.rules
    text = step_text(rules, view.case, view.advice.step).heading
    return Hint(grade, f"{text} {why_text(rules, view.advice.step)}", points)


def _area(view: View) -> str:
    """The groups of the likeliest causes that the advised step is about."""
    rules = view.judge.assessor.rules
    step = view.advice.step
    if step.kind in OBSERVING.values():
        node = next((o.node for o in view.advice.options if o.observation == step.target), "")
        about = causes_by_node(rules).get(node, frozenset())
    elif step.kind == "correct":
        about = frozenset(c for c, cause in rules.causes.items() if cause.correction == step.target)
    else:
        return "Think of the work done so far."
    groups = [rules.causes[cause].group for cause in view.chances if cause in about]
    named = list(dict.fromkeys(groups))[:2]
    return f"Think of: {', '.join(group.replace('-', ' ') for group in named) or 'safety'}."
