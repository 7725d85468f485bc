"""What people write about a bike, as journal entries."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from diagnose.case.events import read_answer, read_target, read_trait
from diagnose.records.bikes.bike import Bike
from diagnose.records.bikes.bike_journal import (
    FactsEntry,
    Felt,
    RideEntry,
    ServiceEntry,
    SettingEntry,
    TargetEntry,
)
from diagnose.records.bikes.service import clock_named
from diagnose.records.store.entry_lines import Amount
from diagnose.records.store.names import unseen_in
from rules.problems import BadInput
from rules.rulebase import RuleBase
from rules.units.quantities import parse_quantity

LONGEST_NOTE = 500
_DAY_HOURS = 24.0
_MOST_METER = 100_000.0


def pairs(texts: Iterable[str], example: str) -> list[tuple[str, str]]:
    """`name=value` texts as pairs. Raises `BadInput`."""
    found = []
    for text in texts:
        name, equals, value = text.partition("=")
        if not equals or not name.strip() or not value.strip():
            raise BadInput(f"{text!r} is not NAME=VALUE, such as {example}")
        found.append((name.strip(), value.strip()))
    return found


def read_facts(rules: RuleBase, traits: Iterable[str], use: str | None) -> FactsEntry:
    """Traits (`fork=air`) and what the bike is used for. Raises `BadInput`."""
    example = next((f"{key}={entry.default}" for key, entry in rules.traits.items()), "NAME=VALUE")
    read = dict(read_trait(rules, name, value) for name, value in pairs(traits, example))
    return FactsEntry(traits=read, use=None if use is None else note(use))


def read_figure(rules: RuleBase, text: str, read_in: str | None, on: date) -> TargetEntry:
    """A manual's figure (`front-tyre-pressure=13 psi`, or `=none`) and where it was read.

    Raises `BadInput`.
    """
    ((name, value),) = pairs([text], f"{next(iter(rules.specs), 'NAME')}=FIGURE")
    if value == "none" and name in rules.specs:
        return TargetEntry(spec=name, figure=None, read_in="", on=on)
    spec, quantity = read_target(rules, name, value)
    if not read_in or not read_in.strip():
        raise BadInput(
            f"say where {name} was read, such as --read-in 'owner\\'s manual, page 4-12'"
        )
    return TargetEntry(spec=spec, figure=Amount.of(quantity), read_in=note(read_in), on=on)


def read_setting(
    rules: RuleBase, text: str, on: date, *, baseline: bool = False, why: str = ""
) -> SettingEntry:
    """How something stands (`fork-rebound-clicks=12 clicks`). Raises `BadInput`."""
    measured = [k for k, o in rules.observations.items() if o.kind == "measurement"]
    ((name, value),) = pairs([text], f"{next(iter(measured), 'NAME')}=READING")
    answer = read_answer(rules, name, value)
    if not answer.is_known:
        raise BadInput(f"{value!r} says nothing about {name}; leave it out")
    reading = Amount.of(answer.reading) if answer.reading is not None else None
    return SettingEntry(
        observation=name,
        state=answer.state,
        reading=reading,
        on=on,
        baseline=baseline,
        note=note(why) if why else "",
    )


class MeterRunsBack(BadInput):
    """An hour meter reads less than before, and nobody has said that it was changed."""


def read_ride(
    bike: Bike,
    hours: str | None,
    meter: str | None,
    on: date,
    *,
    new_meter: bool,
    why: str,
    felt: Felt | None = None,
) -> RideEntry:
    """Hours ridden, or the hour meter's reading, against the rides that `bike` has on record.

    Raises `BadInput`, `MeterRunsBack` for a meter that reads less than before.
    """
    if (hours is None) == (meter is None):
        raise BadInput("give either the hours ridden or --meter with what the hour meter reads")
    words = note(why) if why else ""
    if hours is not None:
        ridden = parse_quantity(hours, "h").to("h").value
        if not 0 < ridden <= _DAY_HOURS:
            raise BadInput(f"{hours!r}: a ride has more than 0 and at most {_DAY_HOURS:g} hours")
        # what a meter adds may have been ridden on the days before
        logged = sum(r.hours for r in bike.rides if r.on == on and r.meter is None)
        if logged + ridden > _DAY_HOURS:
            raise BadInput(
                f"{hours!r}: {logged:g} h are logged for {on.isoformat()} already, and a day has "
                f"{_DAY_HOURS:g} hours"
            )
        return RideEntry(on=on, hours=ridden, note=words, felt=felt)
    reading = parse_quantity(meter or "", "h").to("h").value
    if not 0 <= reading <= _MOST_METER:
        raise BadInput(f"{meter!r}: an hour meter reads 0 to {_MOST_METER:g} h")
    read = [ride for ride in bike.rides if ride.meter is not None]
    last = [ride for ride in read if ride.on <= on]
    if last and not new_meter and reading < (last[-1].meter or 0):
        raise MeterRunsBack(
            f"{reading:g} h is less than the {last[-1].meter:g} h of {last[-1].on.isoformat()}"
        )
    if last and not new_meter:
        gone, most = reading - (last[-1].meter or 0), ((on - last[-1].on).days + 1) * _DAY_HOURS
        if gone > most:
            raise BadInput(
                f"{reading:g} h is {gone:g} h more than on {last[-1].on.isoformat()}; at most "
                f"{most:g} h can have been ridden since"
            )
    after = next((ride for ride in read if ride.on > on), None)
    if after is not None and not after.new_meter and reading > (after.meter or 0):
        raise BadInput(
            f"{reading:g} h is more than the {after.meter:g} h of {after.on.isoformat()}, which is "
            "later"
        )
    return RideEntry(on=on, meter=reading, new_meter=new_meter, note=words, felt=felt)


def read_service(rules: RuleBase, clock: str, on: date, why: str) -> ServiceEntry:
    """A service of the clock that people call so (`fork oil`). Raises `BadInput` naming the clocks
    there are."""
    return ServiceEntry(clock=clock_named(rules, clock), on=on, note=note(why) if why else "")


def note(text: str) -> str:
    """A note in one line. Raises `BadInput` for one that is too long or cannot be printed."""
    words = " ".join(text.split())
    problem = unseen_in(words)
    if problem or not words or len(words) > LONGEST_NOTE:
        holds = f": this holds {problem}" if problem else ""
        raise BadInput(f"a note has 1 to {LONGEST_NOTE} letters, all of them printable{holds}")
    return words
