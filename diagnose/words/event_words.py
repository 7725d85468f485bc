"""What was said and done in a case, an event at a time."""

from __future__ import annotations

from diagnose.case.events import (
    Answered,
    Asking,
    Case,
    Complained,
    Corrected,
    Declined,
    Event,
    Insisted,
    Noted,
    Rode,
    Told,
)
from diagnose.records.cases.case_title import case_title, complaint_title
from diagnose.words.answers import answer_text
from diagnose.words.titles import sentence
from rules.rulebase import RuleBase


def complaint_key_text(rules: RuleBase, key: str) -> str:
    """The complaint with a key, with its place in words: `Harsh (front)`."""
    name, _, place = key.partition("/")
    return complaint_title(rules, Complained(name, place or None))


def complaints_line(rules: RuleBase, case: Case) -> str:
    """Every complaint of a case in one line."""
    title = case_title(rules, case)
    return title[:1].upper() + title[1:]


def asked_text(rules: RuleBase, answer: Answered) -> str:
    """An observation and its answer: `Front brake disc runout: 0.3 mm`."""
    return f"{sentence(rules.observations[answer.observation].ask)} {answer_text(rules, answer)}"


def event_text(rules: RuleBase, event: Event) -> str:
    """An event as it stands in a list of what was said and done."""
    match event:
        case Complained():
            text = f"Complaint: {complaint_title(rules, event)}"
        case Answered():
            text = asked_text(rules, event)
        case Corrected():
            text = f"Done: {rules.corrections[event.correction].title}"
        case Declined():
            text = f"Not done here: {rules.corrections[event.correction].title}"
        case Rode():
            about = complaint_key_text(rules, event.about) if event.about else ""
            text = f"Ride: {event.report}{f', {about}' if about else ''}"
        case Insisted():
            text = f"Both stand: {rules.rules[event.rule].then.contradiction}"
        case Told():
            text = f"In the rider's words: {event.text}"
        case Noted():
            text = f"Note: {event.text}"
        case Asking():
            text = f"Who asks: {rules.policy.person(event.person).title}"
    return text


def event_row(rules: RuleBase, event: Event) -> str:
    """An event as a row that may be cut at its end: an answer comes before its question."""
    if not isinstance(event, Answered):
        return event_text(rules, event)
    answer = answer_text(rules, event)
    return f"{answer[:1].upper()}{answer[1:]}: {rules.observations[event.observation].ask}"
