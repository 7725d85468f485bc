"""What is said and offered when answers move nothing."""

from __future__ import annotations

from diagnose.advice.planning import Step
from diagnose.advice.reasons import BestGuess, SettlesMost
from diagnose.advice.standstill import Standstill
from diagnose.words.chances import counted, percent
from diagnose.words.titles import lowered, setting_title
from rules.rulebase import RuleBase

GO_ON_TEXT = "Go on asking"


def standstill_text(found: Standstill) -> str:
    """How many answers moved nothing, and how much is left to ask."""
    return (
        f"{counted(found.idle, 'answer')} in a row moved nothing. "
        f"{counted(found.left, 'check')} could still change what to do."
    )


def guess_text(rules: RuleBase, guess: Step) -> str:
    """The best guess: its correction, its minutes, and the cause it is about with its chance."""
    if guess.kind != "correct":
        return "Best guess now: hand it over; nothing that is left pays"
    title = lowered(rules.corrections[guess.target].title)
    return f"Best guess now: {title} ({guess.minutes:g} min){_about(rules, guess)}"


def settling_text(rules: RuleBase, settling: Step, asked: Step) -> str:
    """The check that would settle most, with its minutes; `asked` is the step that stands."""
    if settling.target == asked.target:
        return f"What is asked above would settle most{_about(rules, settling)}"
    title = setting_title(rules, settling.target).rstrip("?")
    return f"What would settle most: {title} ({settling.minutes:g} min){_about(rules, settling)}"


def _about(rules: RuleBase, step: Step) -> str:
    match step.why:
        case BestGuess(cause=cause, chance=chance) | SettlesMost(cause=cause, chance=chance):
            return f": {percent(chance)} {lowered(rules.causes[cause].title)}"
        case _:
            return ""
