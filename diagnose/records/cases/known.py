"""What is already known for a case on a kept bike, so that nothing is asked twice; with its age.

- A service clock is read from the log of rides and services.
- What has changed since the last ride that felt right answers the questions about history.
- A setting recorded for `x` answers the observation `x-noted` where the rule base has one: what was
  written down, to be compared with what is found. One that was moved off its baseline since the
  last ride that felt right answers `x` too, and the baseline is what was written down.
- What was measured in an earlier case is not taken for granted: work may have changed it since.
- Any other setting stands for `TRUST_DAYS` days. Pressures and temperatures, which every ride
  changes, are known only on the day they were noted, and never from a baseline.

A date after today means that a clock was wrong, then or now; it says nothing about the bike.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from diagnose.case.events import Answered, Case
from diagnose.records.bikes.bike import Bike, Setting
from diagnose.records.bikes.service import clock_states, clocks
from diagnose.records.bikes.since_right import changed_since, is_since
from diagnose.records.cases.entries import Assumed
from diagnose.records.cases.fitting import fitted, knows
from rules.rulebase import RuleBase
from rules.units.quantities import Quantity, unit_kind

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
    found = [
        *_changed(rules, bike, today),
        *_clocks(rules, bike, today),
        *_settings(rules, bike, today, trust_days),
    ]
    return [item for item in found if knows(rules, item.answer)]


def starting_case(rules: RuleBase, bike: Bike, taken: list[Assumption]) -> Case:
    """A case on this bike with the assumptions that were accepted."""
    machine = fitted(rules, bike.machine)
    return Case(machine.machine, machine.targets, tuple(item.answer for item in taken))


def _changed(rules: RuleBase, bike: Bike, today: date) -> Iterator[Assumption]:
    for change in changed_since(rules, bike, today):
        on = change.on.isoformat()
        yield Assumption(
            Answered(change.observation, "yes"),
            Assumed(rests_on=f"{change.what}, {on}", on=on),
            (today - change.on).days,
        )


def _clocks(rules: RuleBase, bike: Bike, today: date) -> Iterator[Assumption]:
    for state in clock_states(rules, bike, today):
        if state.since is None or state.service is None or state.service.on > today:
            continue
        reading = Quantity(round(state.since.value, 2), state.since.unit)
        on = state.service.on
        # riding hours are as old as the last ride logged
        last = max((ride.on for ride in bike.rides if ride.on <= today), default=on)
        rests_on = f"service of {on.isoformat()}, rides logged to {last.isoformat()}"
        yield Assumption(
            Answered(state.clock, reading=reading),
            Assumed(rests_on=rests_on, on=max(on, last).isoformat()),
            (today - max(on, last)).days,
        )


def _settings(rules: RuleBase, bike: Bike, today: date, trust_days: int) -> Iterator[Assumption]:
    counted = clocks(rules)
    for name, setting in bike.now.items():
        moved = _moved(rules, bike, setting, today)
        if moved is not None:
            yield from moved
            continue
        days = (today - setting.on).days
        fleeting = _is_fleeting(rules, name)
        fresh = days == 0 and not setting.is_baseline if fleeting else 0 <= days <= trust_days
        fresh = fresh and setting.measured_in is None
        answer = _standing_answer(rules, name, setting, fresh)
        if answer is None or name in counted:
            continue
        on = setting.on.isoformat()
        rests_on = f"changes by itself, noted {on}" if fleeting else f"setting of {on}"
        yield Assumption(answer, Assumed(rests_on=rests_on, on=on), days)


def _moved(
    rules: RuleBase, bike: Bike, setting: Setting, today: date
) -> tuple[Assumption, ...] | None:
    """What a setting says that was moved off its baseline since the last ride that felt right."""
    name = setting.answer.observation
    baseline = bike.baseline.get(name)
    if (
        baseline is None
        or baseline.answer == setting.answer
        or setting.measured_in is not None
        or setting.on > today
        or f"{name}{NOTED}" not in rules.observations
        or not is_since(bike, today, setting.on, setting.seq)
    ):
        return None
    written = Answered(f"{name}{NOTED}", baseline.answer.state, baseline.answer.reading)
    return tuple(
        Assumption(
            answer,
            Assumed(rests_on=f"{what} of {since.on.isoformat()}", on=since.on.isoformat()),
            (today - since.on).days,
        )
        for answer, what, since in (
            (written, "baseline", baseline),
            (setting.answer, "moved off its baseline, setting", setting),
        )
    )


def _standing_answer(rules: RuleBase, name: str, setting: Setting, fresh: bool) -> Answered | None:
    given = setting.answer
    if f"{name}{NOTED}" in rules.observations:
        return Answered(f"{name}{NOTED}", given.state, given.reading)
    if name.endswith(NOTED):
        return given
    return given if fresh and name in rules.observations else None


def _is_fleeting(rules: RuleBase, name: str) -> bool:
    entry = rules.observations.get(name)
    return entry is not None and entry.unit is not None and unit_kind(entry.unit) in _FLEETING
