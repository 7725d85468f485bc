"""What a case on a kept bike starts from, so that nothing is asked twice; each with its age.

- A service clock is read from the log of rides and services.
- A setting recorded for `x` answers the observation `x-noted` where the rule base has one: what was
  written down, to be held against what is found.
- Any other setting stands for `TRUST_DAYS` days, except pressures and temperatures, which every
  ride changes.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from diagnose.case import Answered, Case
from diagnose.records.bikes import Bike, Setting
from diagnose.records.entries import Assumed
from diagnose.records.fitting import fitted, knows
from diagnose.records.service import clock_states, clocks
from rules.quantities import Quantity, unit_kind
from rules.rulebase import RuleBase

TRUST_DAYS = 30
NOTED = "-noted"
_FLEETING = ("pressure", "temperature")


@dataclass(frozen=True, slots=True)
class Assumption:
    """An answer taken from the records, what it rests on, and how old that is (days)."""

    answer: Answered
    assumed: Assumed
    days: int


def assumptions(
    rules: RuleBase, bike: Bike, today: date, trust_days: int = TRUST_DAYS
) -> list[Assumption]:
    """What the records answer for a case on this bike today."""
    found = [*_clocks(rules, bike, today), *_settings(rules, bike, today, trust_days)]
    return [item for item in found if knows(rules, item.answer)]


def starting_case(rules: RuleBase, bike: Bike, taken: list[Assumption]) -> Case:
    """A case on this bike with the assumptions that were accepted."""
    machine = fitted(rules, bike.machine)
    return Case(machine.machine, machine.targets, tuple(item.answer for item in taken))


def _clocks(rules: RuleBase, bike: Bike, today: date) -> Iterator[Assumption]:
    for state in clock_states(rules, bike, today):
        if state.since is not None and state.service is not None:
            reading = Quantity(round(state.since.value, 2), state.since.unit)
            on = state.service.on
            # riding hours are as old as the last ride logged, the calendar is never old
            last = bike.rides[-1].on if bike.rides else on
            rests_on = f"service of {on.isoformat()}, rides logged to {last.isoformat()}"
            yield Assumption(
                Answered(state.clock, reading=reading),
                Assumed(rests_on=rests_on, on=max(on, last).isoformat()),
                (today - max(on, last)).days,
            )


def _settings(rules: RuleBase, bike: Bike, today: date, trust_days: int) -> Iterator[Assumption]:
    counted = clocks(rules)
    for name, setting in bike.now.items():
        days = (today - setting.on).days
        answer = _standing_answer(rules, name, setting, days <= trust_days)
        if answer is None or name in counted:
            continue
        rests_on = f"setting of {setting.on.isoformat()}"
        yield Assumption(answer, Assumed(rests_on=rests_on, on=setting.on.isoformat()), days)


def _standing_answer(rules: RuleBase, name: str, setting: Setting, fresh: bool) -> Answered | None:
    given = setting.answer
    if f"{name}{NOTED}" in rules.observations:
        return Answered(f"{name}{NOTED}", given.state, given.reading)
    if name.endswith(NOTED):
        return given
    entry = rules.observations.get(name)
    if entry is None or not fresh:
        return None
    fleeting = entry.unit is not None and unit_kind(entry.unit) in _FLEETING
    return None if fleeting else given
