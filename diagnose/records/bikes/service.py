"""Service clocks: what has been ridden or has gone by since each service, and when the next is due.

A clock is any measurement of time in the rule base that is held against a target of time. One in
hours counts hours ridden; one in days, months or years counts the calendar.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta

from diagnose.case.events import machine_traits
from diagnose.case.figures import OWN, Rank, figure_of
from diagnose.records.bikes.bike import Bike, Service
from rules.problems import BadInput
from rules.rulebase import RuleBase
from rules.units.quantities import Quantity, unit_kind
from rules.yaml_source import suggest

RATE_DAYS = 56
"""The riding rate is that of the last eight weeks (memory: long enough for a wet weekend or two,
short enough to follow the season)."""
_SHORTEST_DAYS = 14
_FARTHEST_DAYS = 3650

CALENDAR = {"days": 1.0, "months": 365.25 / 12, "years": 365.25}
"""Days in each calendar unit; a month is a twelfth of a Julian year."""
_RIDDEN = {"h": 1.0, "min": 1 / 60, "s": 1 / 3600}


@dataclass(frozen=True, slots=True)
class ClockState:
    """One clock of one bike.

    `since` and `left` are in the clock's unit; `left` is negative when overdue, None where no
    service is on record. `at_least` is then what has been ridden or has gone by since the bike is
    on record. `due_on` is a forecast for hours, a date for the calendar, None where
    nothing can be said. `rank` says whose figure the interval is.
    """

    clock: str
    title: str
    service: Service | None
    since: Quantity | None
    interval: Quantity
    rank: Rank
    left: Quantity | None
    due_on: date | None
    at_least: Quantity | None = None

    @property
    def is_own(self) -> bool:
        """Whether the interval is this bike's own."""
        return self.rank in OWN

    @property
    def overdue(self) -> bool:
        """Whether the interval is used up, by all that is on record."""
        return self.is_unknown or (self.left is not None and self.left.value <= 0)

    @property
    def is_unknown(self) -> bool:
        """Whether it is overdue since nobody knows when: no service on record, and more than the
        interval since the bike is."""
        return self.at_least is not None and self.at_least.value >= self.interval.value


def clocks(rules: RuleBase) -> tuple[str, ...]:
    """The ids of the observations that are service clocks."""
    return tuple(
        key
        for key, entry in rules.observations.items()
        if entry.unit in (*CALENDAR, *_RIDDEN)
        and entry.target is not None
        and unit_kind(rules.specs[entry.target].unit) == "time"
    )


def clock_named(rules: RuleBase, said: str) -> str:
    """The clock that people call so: by its id, its name, or words that only its name has.

    Raises `BadInput` that names the clocks there are, or those that could be meant.
    """
    known = clocks(rules)
    names = {clock: _called(rules, clock) for clock in known}
    words = _plain(said)
    exact = [clock for clock in known if said.strip() == clock or words in names[clock]]
    found = exact or [
        clock
        for clock in known
        if words and any(set(words.split()) <= set(name.split()) for name in names[clock])
    ]
    if len(found) == 1:
        return found[0]
    if found:
        meant = " or ".join(repr(names[clock][0]) for clock in found)
        raise BadInput(f"{said!r} can be {meant}; say which")
    every = [name for clock in known for name in (*names[clock], clock)]
    raise BadInput(
        f"{said!r} is no service clock{suggest(words, every)}; one of "
        f"{', '.join(names[clock][0] for clock in known)}"
    )


def _called(rules: RuleBase, clock: str) -> tuple[str, ...]:
    named = rules.observations[clock].clock
    return tuple(_plain(name) for name in named.called) if named else (clock,)


def _plain(words: str) -> str:
    return " ".join(words.casefold().replace("-", " ").split())


def since_service(rules: RuleBase, bike: Bike, clock: str, today: date) -> Quantity | None:
    """What the clock reads, None where no service is on record."""
    service = bike.latest_services().get(clock)
    if service is None:
        return None
    unit = rules.observations[clock].unit or ""
    if unit in CALENDAR:
        return Quantity(max((today - service.on).days, 0) / CALENDAR[unit], unit)
    return Quantity((bike.total_hours - service.total) / _RIDDEN[unit], unit)


def riding_rate(bike: Bike, today: date) -> float | None:
    """Hours ridden a day recently, None where too little has been logged to say.

    Hours of the last `RATE_DAYS` days over the days from the first of them to today. A single day
    does not show how often the bike is ridden.
    """
    start = today - timedelta(days=RATE_DAYS)
    recent = [ride for ride in bike.rides if start < ride.on <= today and ride.hours > 0]
    if len({ride.on for ride in recent}) < 2:
        return None
    days = max((today - recent[0].on).days, _SHORTEST_DAYS)
    return sum(ride.hours for ride in recent) / days


def clock_states(rules: RuleBase, bike: Bike, today: date) -> list[ClockState]:
    """Every clock that this kind of bike has, soonest due first, those that nothing can be said of
    last."""
    states = [
        _state(rules, bike, clock, today) for clock in clocks(rules) if _has(rules, bike, clock)
    ]
    far = date.max
    unsaid = [s.since is None and not s.is_unknown for s in states]
    order = sorted(zip(unsaid, states, strict=True), key=lambda p: (p[0], p[1].due_on or far))
    return [state for _, state in order]


def _has(rules: RuleBase, bike: Bike, clock: str) -> bool:
    return fits(rules.observations[clock].needs, machine_traits(rules, bike.machine))


def fits(needs: dict[str, tuple[str, ...]], traits: dict[str, str]) -> bool:
    """Whether a bike with these traits has what is needed."""
    return all(traits.get(trait) in options for trait, options in needs.items())


def _state(rules: RuleBase, bike: Bike, clock: str, today: date) -> ClockState:
    entry = rules.observations[clock]
    assert entry.target is not None and entry.unit is not None
    figure = figure_of(rules, bike.machine, entry.target)
    interval = figure.value.to(entry.unit)
    since = since_service(rules, bike, clock, today)
    left = None if since is None else Quantity(interval.value - since.value, entry.unit)
    at_least = _on_record(bike, entry.unit, today) if since is None else None
    state = ClockState(
        clock,
        entry.clock.called[0].capitalize() if entry.clock else entry.ask,
        bike.latest_services().get(clock),
        since,
        interval,
        figure.rank,
        left,
        None if left is None else _due_on(left, riding_rate(bike, today), today),
        at_least,
    )
    return replace(state, due_on=today) if state.is_unknown else state


def _on_record(bike: Bike, unit: str, today: date) -> Quantity | None:
    """What has been ridden or has gone by since the bike is on record."""
    if unit in CALENDAR:
        first = bike.first_day
        return None if first is None else Quantity((today - first).days / CALENDAR[unit], unit)
    return Quantity(bike.total_hours / _RIDDEN[unit], unit)


def _due_on(left: Quantity, rate: float | None, today: date) -> date | None:
    if left.value <= 0:
        return today
    if left.unit in CALENDAR:
        days = left.value * CALENDAR[left.unit]
    elif rate:
        days = left.value * _RIDDEN[left.unit] / rate
    else:
        return None
    return today + timedelta(days=round(days)) if days <= _FARTHEST_DAYS else None
