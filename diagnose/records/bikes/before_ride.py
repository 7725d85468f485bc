"""The list to go through before a ride, with what is due. The rule base says what is on it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from diagnose.case.events import Answered, machine_traits
from diagnose.records.bikes.bike import Bike, Setting
from diagnose.records.bikes.service import CALENDAR, fits
from rules.language.schema import PreRideCheck
from rules.rulebase import RuleBase
from rules.units.quantities import Quantity


@dataclass(frozen=True, slots=True)
class Check:
    """One line of the list. `last` is what is on record of it; `why` says why it is due or not.

    `note` is the observation that ticks it off; `cautions` those of the correction included.
    """

    title: str
    due: bool
    why: str
    last: str
    note: str | None
    correction: str | None
    cautions: tuple[str, ...]


def before_ride(rules: RuleBase, bike: Bike, today: date) -> list[Check]:
    """The list for this bike, what is due first. Empty for a rule base that has none."""
    traits = machine_traits(rules, bike.machine)
    checks = [
        _check(rules, bike, item, today)
        for item in rules.before_ride.values()
        if fits(item.needs, traits)
        and (item.note is None or fits(rules.observations[item.note].needs, traits))
    ]
    return sorted(checks, key=lambda check: not check.due)


def list_source(rules: RuleBase) -> tuple[str, ...]:
    """The sources of the whole list, as ids of the rule base's sources."""
    return tuple(dict.fromkeys(s for item in rules.before_ride.values() for s in item.source))


def _check(rules: RuleBase, bike: Bike, item: PreRideCheck, today: date) -> Check:
    last = bike.now.get(item.note) if item.note else None
    text = ""
    if last is not None:
        value = last.answer.reading or _state_label(rules, last.answer)
        text = f"{value} on {last.on.isoformat()}"
    due, why = True, "every ride"
    if (interval := item.interval) is not None:
        why = f"every {item.every}; never noted"
        if last is not None:
            gone = _since(bike, last, interval, today)
            due, why = gone.value >= interval.value, f"every {item.every}; {gone} since"
    how = rules.corrections[item.correction].cautions if item.correction else ()
    cautions = tuple(dict.fromkeys((*item.cautions, *how)))
    return Check(item.title, due, why, text, item.note, item.correction, cautions)


def _state_label(rules: RuleBase, answer: Answered) -> str | None:
    states = rules.observations[answer.observation].states
    return None if answer.state is None else states.get(answer.state, answer.state)


def _since(bike: Bike, last: Setting, interval: Quantity, today: date) -> Quantity:
    if interval.unit in CALENDAR:
        days = max((today - last.on).days, 0)
        return Quantity(round(days / CALENDAR[interval.unit], 1), interval.unit)
    # of the rides of the same day, only those logged later
    noted = (last.on, last.seq)
    hours = sum(ride.hours for ride in bike.rides if (ride.on, ride.seq) > noted)
    return Quantity(round(hours, 1), "h")
