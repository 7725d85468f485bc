"""What is said and offered when answers move nothing."""

from __future__ import annotations

from diagnose.advice.planning import Step
from diagnose.advice.reasons import BestGuess, NotDoneHere, SettlesMost
from diagnose.advice.standstill import Standstill
from diagnose.words.chances import counted, percent
from diagnose.words.titles import lowered, setting_title
from rules.rulebase import RuleBase

GO_ON_TEXT = "Go on asking"


def standstill_text(found: Standstill) -> str:
    """How many answers moved nothing that matters, and how much is left to ask."""
    return (
        f"{counted(found.idle, 'answer')} moved nothing that changes what to do. "
        f"The sheet has {counted(found.left, 'check')} left."
    )


def guess_text(rules: RuleBase, guess: Step) -> str:
    """The best guess: its minutes, its correction, and the cause it is about with its chance."""
    if isinstance(guess.why, NotDoneHere):
        title = lowered(rules.corrections[guess.why.correction].title)
        return f"Best guess: hand it over, to have this done: {title}"
    if guess.kind != "correct":
        return "Best guess: hand it over; no check left is likely to pay for its minutes"
    title = lowered(rules.corrections[guess.target].title)
    return f"Best guess, {guess.minutes:g} min: {title}; {_about(rules, guess)}"


def settling_text(rules: RuleBase, settling: Step, asked: Step) -> str:
    """The check that would settle most, with its minutes; `asked` is the step that stands."""
    about = _about(rules, settling)
    if settling.target == asked.target:
        return f"Settles most: what is asked here; {about}"
    title = setting_title(rules, settling.target).rstrip("?:.")
    return f"Settles most, {settling.minutes:g} min: {title}; {about}"


def _about(rules: RuleBase, step: Step) -> str:
    """`11 % front tyre pressure too high`."""
    assert isinstance(step.why, BestGuess | SettlesMost)
    return f"{percent(step.why.chance)} {lowered(rules.causes[step.why.cause].title)}"
