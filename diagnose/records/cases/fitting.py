"""Cases kept under one rule base and read under another, without losing anything."""

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
)
from rules.rulebase import RuleBase
from rules.units.quantities import BadQuantity


def fitted(rules: RuleBase, case: Case) -> Case:
    """`case` with what this rule base does not know turned into notes, event for event."""
    machine = {
        trait: option
        for trait, option in case.machine.items()
        if trait in rules.traits and option in rules.traits[trait].options
    }
    targets = {name: target for name, target in case.targets.items() if name in rules.specs}
    return Case(machine, targets, tuple(_fitted(rules, event) for event in case.events))


def unknown_to(rules: RuleBase, case: Case) -> list[str]:
    """What `fitted` would turn into notes."""
    pairs = zip(case.events, fitted(rules, case).events, strict=True)
    return [new.text for old, new in pairs if old is not new and isinstance(new, Noted)]


def _fitted(rules: RuleBase, event: Event) -> Event:
    if knows(rules, event):
        return event
    return Noted(f"not in this rule base any more: {event}"[:300])


def knows(rules: RuleBase, event: Event) -> bool:
    """Whether everything `event` names is in the rule base."""
    match event:
        case Complained(complaint=name, place=place):
            entry = rules.complaints.get(name)
            return entry is not None and (place is None or place in entry.places)
        case Answered():
            return _knows_answer(rules, event)
        case Corrected(correction=name) | Declined(correction=name):
            return name in rules.corrections
        case Insisted(rule=name):
            return name in rules.rules
        case Asking(person=name):
            return name in rules.policy.people
        case _:
            return True


def _knows_answer(rules: RuleBase, answer: Answered) -> bool:
    entry = rules.observations.get(answer.observation)
    if entry is None or (answer.state is not None and answer.state not in entry.states):
        return False
    if answer.reading is None:
        return True
    if entry.unit is None:
        return False
    try:
        answer.reading.to(entry.unit)
    except BadQuantity:
        return False
    return True
