"""What has changed on a bike since the last ride that felt right, as far as its record says.

A ride counts as felt right unless it was noted as wrong; one logged today is the bad one that the
case is about, unless it was noted as right. Where no ride is on record, the last `DAYS` days count.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from diagnose.case.events import Answered, brought_by
from diagnose.listening.listen import listener_of
from diagnose.records.bikes.bike import Bike, Hours, Service, Setting
from rules.rulebase import RuleBase

DAYS = 30
"""How far back changes count where no ride is on record (memory: a ride or two, for most)."""


@dataclass(frozen=True, slots=True)
class Changed:
    """A question about history that the record answers with yes; `what` was written, and when."""

    observation: str
    what: str
    on: date


def last_right(bike: Bike, today: date) -> Hours | None:
    """The last ride that felt right, as far as is known."""
    right = [
        ride
        for ride in bike.rides
        if ride.felt == "right" or (ride.felt is None and ride.on < today)
    ]
    return right[-1] if right else None


def is_since(bike: Bike, today: date, on: date, seq: int) -> bool:
    """Whether what was logged for a day came after the last ride that felt right."""
    ride = last_right(bike, today)
    if ride is None:
        return on > today - timedelta(days=DAYS)
    return (on, seq) > (ride.on, ride.seq)


def changed_since(rules: RuleBase, bike: Bike, today: date) -> list[Changed]:
    """What changed since then, one entry a question, the latest change of each."""
    found: dict[str, Changed] = {}
    for change in sorted(_changes(rules, bike, today), key=lambda change: change.on):
        if change.on <= today and change.observation in rules.observations:
            found[change.observation] = change
    known = [Answered(name, "yes") for name in found]
    for brought in brought_by(rules, known):
        by = next(
            change
            for change in found.values()
            if brought.observation in rules.observations[change.observation].brings
        )
        if brought.state == "yes":
            found.setdefault(brought.observation, Changed(brought.observation, by.what, by.on))
    return list(found.values())


def _changes(rules: RuleBase, bike: Bike, today: date) -> Iterator[Changed]:
    before: dict[str, Setting] = {}
    for setting in bike.settings:
        name, earlier = setting.answer.observation, before.get(setting.answer.observation)
        before[name] = setting
        entry = rules.observations.get(name)
        moved = earlier is not None and earlier.answer != setting.answer
        if entry and earlier and moved and is_since(bike, today, setting.on, setting.seq):
            said = f"{_short(earlier.answer)} to {_short(setting.answer)}"
            for told in entry.change_tells:
                yield Changed(told, f"{entry.ask.partition(',')[0]}, {said}", setting.on)
    for service in bike.services:
        entry = rules.observations.get(service.clock)
        if entry and entry.clock and is_since(bike, today, service.on, service.seq):
            for told in entry.clock.tells:
                yield Changed(told, f"service noted: {entry.clock.called[0]}", service.on)
    yield from _noted(rules, bike, today)


def _noted(rules: RuleBase, bike: Bike, today: date) -> Iterator[Changed]:
    """What remarks say, such as of a fall; that of the last right ride too, at whose end it was."""
    right = last_right(bike, today)
    every: tuple[Hours | Service | Setting, ...] = (*bike.rides, *bike.services, *bike.settings)
    for logged in every:
        counts = logged is right or is_since(bike, today, logged.on, logged.seq)
        if not logged.note or not counts:
            continue
        for fact in listener_of(rules).listen(logged.note).facts:
            entry = rules.observations[fact.observation]
            if entry.kind == "history" and fact.state == "yes":
                yield Changed(fact.observation, f"noted: {logged.note}", logged.on)


def _short(answer: Answered) -> str:
    return str(answer.reading) if answer.reading is not None else answer.state or ""
