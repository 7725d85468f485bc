"""The short forms of a bike: what they ask, and the journal entries that come of the answers."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date
from typing import TypeVar

from diagnose.case.figures import figure_of
from diagnose.records.bikes.bike import Bike
from diagnose.records.bikes.bike_input import (
    MeterRunsBack,
    note,
    read_ride,
    read_service,
    read_setting,
)
from diagnose.records.bikes.bike_journal import BikeEntry, Felt
from diagnose.records.store.times import read_date
from diagnose.words.answers import answer_text
from diagnose.words.figure_words import figure_text
from diagnose.words.titles import clock_title, lowered, setting_title
from rules.problems import BadInput
from rules.rulebase import RuleBase
from rules.units.quantities import units_like
from tui.bikes.bike_draft import BikeDraft
from tui.dialogs.short_form import YES, Field, ShortForm, WrongField

LogForm = ShortForm[list[BikeEntry]]
Said = Mapping[str, str]
Read = TypeVar("Read")

_NOTE = Field("note", "Remark, if any")


def ride_form(bike: Bike, today: date) -> LogForm:
    """A form for a ride: hours ridden, or what the hour meter reads."""

    def read(said: Said) -> list[BikeEntry]:
        hours, meter = said["hours"] or None, said["meter"] or None
        if (hours is None) == (meter is None):
            raise WrongField(
                "hours", "Give the hours ridden, or what the meter reads: one of both."
            )
        on, why, new = _day(said, today), said["note"], said["new"] == YES
        field = "hours" if meter is None else "meter"
        _at("note", lambda: note(why) if why else "")
        try:
            felt: Felt | None = "wrong" if said["wrong"] == YES else None
            ride = _at(
                field,
                lambda: read_ride(bike, hours, meter, on, new_meter=new, why=why, felt=felt),
            )
        except WrongField as error:
            if isinstance(error.__cause__, MeterRunsBack):
                told = f"{error.__cause__}; tick the line below if it was changed."
                raise WrongField("meter", told) from error
            raise
        return [ride]

    fields = (
        Field("hours", "Hours ridden, such as 2.5 or 90 min"),
        Field("meter", "Or what the hour meter reads now"),
        Field("new", "The hour meter was changed", is_tick=True),
        Field("wrong", "It did not feel right", is_tick=True),
        _when(today),
        _NOTE,
    )
    return ShortForm(f"{bike.name}: log a ride", fields, read)


def service_form(rules: RuleBase, bike: Bike, clock: str, today: date) -> LogForm:
    """A form for a service: the day, and a remark."""

    def read(said: Said) -> list[BikeEntry]:
        on = _day(said, today)
        return [_at("note", lambda: read_service(rules, clock, on, said["note"]))]

    title = f"{bike.name}: log a service"
    about = f"Counts from 0 again: {lowered(clock_title(rules, clock))}."
    return ShortForm(title, (_when(today), _NOTE), read, about)


def setting_form(rules: RuleBase, bike: Bike, observation: str, today: date) -> LogForm:
    """A form for how a setting stands now."""

    def read(said: Said) -> list[BikeEntry]:
        on, baseline = _day(said, today), said["baseline"] == YES
        text = f"{observation}={_needed(said, 'value', hint)}"
        _at("value", lambda: read_setting(rules, text, on, baseline=baseline))
        why = said["note"]
        entry = _at("note", lambda: read_setting(rules, text, on, baseline=baseline, why=why))
        return [entry]

    hint = accepted(rules, observation)
    fields = (
        Field("value", hint),
        Field("baseline", "This is how it should stand from now on: the baseline", is_tick=True),
        _when(today),
        _NOTE,
    )
    about = " ".join(_standing(rules, bike, observation))
    return ShortForm(setting_title(rules, observation), fields, read, about)


def baseline_form(
    rules: RuleBase, draft: BikeDraft, observation: str, today: date
) -> ShortForm[BikeDraft]:
    """A form for how a setting should stand."""

    def read(said: Said) -> BikeDraft:
        text = _needed(said, "value", hint)
        return _at("value", lambda: draft.with_setting(rules, observation, text, today))

    hint = accepted(rules, observation)
    title = f"How it should stand: {lowered(setting_title(rules, observation))}"
    return ShortForm(title, (Field("value", hint),), read)


def figure_form(rules: RuleBase, draft: BikeDraft, spec: str, today: date) -> ShortForm[BikeDraft]:
    """A form for a figure of the manual and where it was read."""

    def read(said: Said) -> BikeDraft:
        text, read_in = _needed(said, "figure", hint), said["read_in"]
        _at("figure", lambda: draft.with_figure(rules, spec, text, "the manual", today))
        if not read_in:
            raise WrongField("read_in", "Say where it was read, such as: owner's manual, page 12.")
        return _at("read_in", lambda: draft.with_figure(rules, spec, text, read_in, today))

    entry = rules.specs[spec]
    hint = _figure_in(entry.unit)
    about = f"Now {figure_text(figure_of(rules, draft.machine, spec))}."
    fields = (Field("figure", hint), Field("read_in", "Read in"))
    return ShortForm(f"By the manual: {lowered(entry.title)}", fields, read, about)


def accepted(rules: RuleBase, observation: str) -> str:
    """What can be written for an observation, in words."""
    entry = rules.observations[observation]
    if entry.unit is None:
        return f"One of: {', '.join(entry.states)}"
    return _figure_in(entry.unit)


def _figure_in(unit: str) -> str:
    own, others = units_like(unit)[:1], units_like(unit)[1:]
    if not own:
        return "A plain number"
    return f"In {own[0]}" + (f", or with its unit: {', '.join(others)}" if others else "")


def _standing(rules: RuleBase, bike: Bike, observation: str) -> Sequence[str]:
    said = []
    now, baseline = bike.now.get(observation), bike.baseline.get(observation)
    if now is not None:
        said.append(f"Noted {now.on.isoformat()}: {answer_text(rules, now.answer)}.")
    if baseline is not None and now is not None and baseline.answer != now.answer:
        said.append(f"Baseline: {answer_text(rules, baseline.answer)}.")
    target = rules.observations[observation].target
    if target is not None:
        said.append(f"Should be {figure_text(figure_of(rules, bike.machine, target))}.")
    return said


def _when(today: date) -> Field:
    return Field("on", "Day", today.isoformat())


def _day(said: Said, today: date) -> date:
    return _at("on", lambda: read_date(said["on"], today))


def _needed(said: Said, field: str, hint: str) -> str:
    if not said[field]:
        raise WrongField(field, f"Nothing typed yet. {hint}.")
    return said[field]


def _at(field: str, read: Callable[[], Read]) -> Read:
    try:
        return read()
    except BadInput as error:
        raise WrongField(field, str(error)) from error
