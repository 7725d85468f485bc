"""What can be pressed at a step: a key, what it is called, and what it records or opens."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from diagnose.advice.planning import Step
from diagnose.advice.reasons import AnswersClash, NothingFound
from diagnose.advice.standstill import Standstill
from diagnose.case.events import (
    RIDE_REPORTS,
    Answered,
    Case,
    Complained,
    Corrected,
    Declined,
    Event,
    Insisted,
    standing,
)
from diagnose.case.set_figures import figure_to_set
from diagnose.words.answers import answer_text, choices
from diagnose.words.standstill_words import GO_ON_TEXT, guess_text, settling_text
from diagnose.words.step_words import AS_IT_IS
from rules.rulebase import RuleBase

Opens = Literal["", "complaint", "card", "close", "answer-again", "go-on"]
_LONG = {"y": ("yes", "y"), "n": ("no", "n")}
OBSERVING = ("ask", "measure", "inspect", "ride-test")


@dataclass(frozen=True, slots=True)
class Offer:
    """A key and what it stands for: an event, something it opens, of the observation `about`, or a
    step to take now."""

    key: str
    label: str
    event: Event | None = None
    opens: Opens = ""
    about: str = ""
    step: Step | None = None


def offers(rules: RuleBase, case: Case, step: Step) -> tuple[Offer, ...]:
    """The offers at a step, in the order they are shown. A reading is typed, not offered."""
    if step.kind in OBSERVING:
        return observation_offers(rules, step.target)
    if step.kind == "correct":
        return work_offers(step.target)
    if step.kind == "confirm":
        reports = ride_offers(case)
        return (*reports, Offer(str(len(reports) + 1), "New complaint", opens="complaint"))
    if step.kind == "check-again":
        return _check_again(rules, case, step)
    if step.kind == "complain":
        return (Offer("1", "Pick what the rider says", opens="complaint"),)
    word = "Close the case" if step.kind == "close" else "Close it as handed over"
    if isinstance(step.why, NothingFound):
        word = AS_IT_IS
    is_list = step.kind == "hand-over" and rules.policy.goes_along(standing(case).person)
    card = "The list to take along" if is_list else "Job card"
    return (
        Offer("1", word, opens="close"),
        Offer("2", card, opens="card"),
        Offer("3", "New complaint", opens="complaint"),
    )


def work_offers(correction: str) -> tuple[Offer, ...]:
    """What can be said of work to do."""
    return (
        Offer("f", "Done", Corrected(correction)),
        Offer("x", "Won't or can't do it here", Declined(correction)),
    )


def standstill_offers(rules: RuleBase, asked: Step, found: Standstill) -> tuple[Offer, ...]:
    """What is offered besides the answers to what is asked, when the latest moved nothing."""
    offered = []
    if found.guess is not None:
        offered.append(Offer("m", guess_text(rules, found.guess), step=found.guess))
    if found.settling is not None:
        label = settling_text(rules, found.settling, asked)
        offered.append(Offer("i", label, step=found.settling))
    return (*offered, Offer("g", GO_ON_TEXT, opens="go-on"))


def ride_offers(case: Case) -> tuple[Offer, ...]:
    """How a confirming ride can have gone for the complaint that it is asked about."""
    now = standing(case)
    return tuple(
        Offer(str(n), report.capitalize(), now.told(report, now.asks_about))
        for n, report in enumerate(RIDE_REPORTS, 1)
    )


def place_offers(rules: RuleBase, complaint: str, first: int = 1) -> tuple[Offer, ...]:
    """Which end a complaint is about, numbered from `first`."""
    numbered = enumerate(rules.complaints[complaint].places, first)
    found = [
        Offer(str(n), place.capitalize(), Complained(complaint, place)) for n, place in numbered
    ]
    return (*found, Offer("?", "Can't tell", Complained(complaint)))


def observation_offers(rules: RuleBase, observation: str) -> tuple[Offer, ...]:
    """The answers an observation can have, then don't know and can't do it here."""
    entry = rules.observations[observation]
    found = []
    if entry.kind != "measurement":
        yes_no = set(entry.states) == {"yes", "no"}
        for number, (state, label) in enumerate(choices(entry), 1):
            key = state[0] if yes_no else str(number)
            found.append(Offer(key, label, Answered(observation, state=state)))
    found.append(Offer("?", "Don't know", Answered(observation)))
    if entry.kind not in ("history", "question"):
        found.append(Offer("x", "Can't do it here", Answered(observation, cannot_here=True)))
    return tuple(found)


NOT_READ = (Offer("n", "Not read"),)
"""What can be pressed where a figure is typed that nobody may have read."""


def set_offers(rules: RuleBase, case: Case, observation: str) -> tuple[Offer, ...]:
    """What can be pressed where it is asked what a reading was set to; another figure is typed."""
    aim = figure_to_set(rules, case, observation)
    if aim is None:
        return NOT_READ
    return Offer("y", f"Set to {aim}", Answered(observation, reading=aim)), *NOT_READ


def answer_first(offers: Sequence[Offer], text: str) -> tuple[Offer, str] | None:
    """The answer that `text` begins with, by its label or `yes` or `no`, and what follows it, such
    as `no, raced it on sunday`; None where it begins with none."""
    named = [(offer.label.lower(), offer) for offer in offers]
    named += [(word, o) for o in offers for word in _LONG.get(o.key, ()) if word != o.label.lower()]
    for label, offer in sorted(named, key=lambda one: -len(one[0])):
        rest = text[len(label) :]
        if text.lower().startswith(label) and not rest[:1].isalnum():
            return offer, rest.strip(" ,.;:-!")
    return None


def _check_again(rules: RuleBase, case: Case, step: Step) -> tuple[Offer, ...]:
    answers = standing(case).answers
    found = []
    in_order = step.why.check if isinstance(step.why, AnswersClash) else ()
    for number, name in enumerate(in_order or rules.rules[step.target].then.check, 1):
        said = f" (now: {answer_text(rules, answers[name])})" if name in answers else ""
        label = f"{rules.observations[name].ask}{said}"
        found.append(Offer(str(number), label, opens="answer-again", about=name))
    return (*found, Offer(str(len(found) + 1), "Both answers stand", Insisted(step.target)))
