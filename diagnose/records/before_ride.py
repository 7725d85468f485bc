"""The list to go through before a ride, with what is due. What is on it stands in YAML beside."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, ValidationError

from diagnose.records.bikes import Bike
from diagnose.records.service import fits, machine
from rules.problems import BadInput, FileProblems
from rules.quantities import Quantity, parse_quantity
from rules.rulebase import RuleBase
from rules.schema import Id, Line, Model, Sources, as_tuple
from rules.yaml_source import read_yaml_file

FOLDER = Path(__file__).parent / "before_a_ride"
_DAYS = {"days": 1.0, "months": 365.25 / 12, "years": 365.25}


class _Item(Model):
    title: Line
    every: Line
    note: Id | None = None
    correction: Id | None = None


class _List(Model):
    list: Literal[1]
    items: Annotated[tuple[_Item, ...], BeforeValidator(as_tuple), Field(min_length=1)]
    source: Sources


@dataclass(frozen=True, slots=True)
class Check:
    """One line of the list. `last` is what is on record of it; `due` says why it is or is not."""

    title: str
    due: bool
    why: str
    last: str
    correction: str | None


def before_ride(rules: RuleBase, bike: Bike, today: date) -> list[Check]:
    """The list for this bike, what is due first. Empty for a rule base that has none."""
    path = FOLDER / f"{rules.info.id}.yaml"
    if not path.exists():
        return []
    document = read_yaml_file(path)
    try:
        shape = _List.model_validate(document.data)
    except ValidationError as error:
        raise FileProblems(document.from_validation(error)) from error
    traits = dict(machine(rules, bike))
    checks = [
        _check(rules, bike, item, today)
        for item in shape.items
        if item.note not in rules.observations
        or fits(rules.observations[item.note or ""].needs, traits)
    ]
    return sorted(checks, key=lambda check: not check.due)


def list_source(rules: RuleBase) -> tuple[str, ...]:
    """The sources of the list, as ids of the rule base's sources."""
    path = FOLDER / f"{rules.info.id}.yaml"
    return _List.model_validate(read_yaml_file(path).data).source if path.exists() else ()


def _check(rules: RuleBase, bike: Bike, item: _Item, today: date) -> Check:
    last = bike.now.get(item.note) if item.note else None
    text = ""
    if last is not None:
        value = last.answer.reading or last.answer.state
        text = f"{value} on {last.on.isoformat()}"
    if item.every == "ride":
        return Check(item.title, True, "every ride", text, item.correction)
    if last is None:
        return Check(item.title, True, f"every {item.every}; never noted", text, item.correction)
    gone = _since(bike, last.on, every := _every(item.every), today)
    due = gone.value >= every.value
    return Check(item.title, due, f"every {item.every}; {gone} since", text, item.correction)


def _every(text: str) -> Quantity:
    every = parse_quantity(text)
    if every.unit not in ("h", *_DAYS):
        raise BadInput(f"{text!r}: give hours, days, months or years, or 'ride'")
    return every


def _since(bike: Bike, on: date, every: Quantity, today: date) -> Quantity:
    if every.unit in _DAYS:
        return Quantity(round((today - on).days / _DAYS[every.unit], 1), every.unit)
    hours = sum(ride.hours for ride in bike.rides if ride.on > on)
    return Quantity(round(hours, 1), "h")
