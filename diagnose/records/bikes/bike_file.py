"""A bike as a YAML file: to pass it on, keep it with other notes, or import it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date
from functools import partial
from pathlib import Path
from typing import Annotated, Any, Literal, Self, TypeVar

import yaml
from pydantic import BeforeValidator, Field, ValidationError, model_validator

from diagnose.case.events import Answered
from diagnose.case.files import Word
from diagnose.records.bikes.bike import Bike
from diagnose.records.bikes.bike_input import (
    read_facts,
    read_figure,
    read_ride,
    read_service,
    read_setting,
)
from diagnose.records.bikes.bike_journal import ArchivedEntry, BikeEntry, Felt
from diagnose.records.store.names import good_name
from diagnose.records.store.times import read_date
from rules.language.schema import Id, StrictModel, as_tuple
from rules.problems import BadInput, Collected, FileProblems
from rules.rulebase import RuleBase
from rules.yaml_source import Location, YamlText, read_yaml_bytes, read_yaml_file

T = TypeVar("T")


class _Figure(StrictModel):
    figure: Word
    read_in: str
    date: str | None = None


class _Log(StrictModel):
    """One dated line: hours ridden, an hour meter's reading, a service, or a setting."""

    date: str
    ride: Word | None = None
    meter: Word | None = None
    new_meter: bool = False
    felt: Felt | None = None
    service: Id | None = None
    setting: Id | None = None
    value: Word | None = None
    baseline: bool = False
    note: str = ""

    @model_validator(mode="after")
    def _one(self) -> Self:
        given = [self.ride, self.meter, self.service, self.setting]
        if sum(x is not None for x in given) != 1:
            raise ValueError("give exactly one of ride, meter, service and setting")
        if (self.setting is None) != (self.value is None):
            raise ValueError("`setting` and `value` go together")
        return self


class BikeFile(StrictModel):
    """The shape of a bike file."""

    bike: Literal[1]
    name: str
    use: str | None = None
    machine: dict[Id, Word] = Field(default_factory=dict)
    figures: dict[Id, _Figure] = Field(default_factory=dict)
    log: Annotated[tuple[_Log, ...], BeforeValidator(as_tuple)] = ()
    archived: bool = False


def write_bike(bike: Bike) -> str:
    """A bike as YAML that `read_bike` reads back to the same bike."""
    data: dict[str, Any] = {"bike": 1, "name": bike.name}
    if bike.use:
        data["use"] = bike.use
    data["machine"] = dict(bike.traits)
    data["figures"] = {
        name: {
            "figure": _exact(f.quantity.value, f.quantity.unit),
            "read_in": f.read_in,
            "date": f.on.isoformat(),
        }
        for name, f in bike.targets.items()
    }
    lines = [*_settings(bike), *_rides(bike), *_services(bike)]
    data["log"] = [line for _, line in sorted(lines, key=lambda pair: pair[0])]
    if bike.archived:
        data["archived"] = True
    kept = {key: value for key, value in data.items() if value not in ({}, [])}
    return yaml.safe_dump(kept, sort_keys=False, allow_unicode=True, width=96)


def read_bike(
    rules: RuleBase, path: Path, today: date, name: str | None = None
) -> tuple[str, list[BikeEntry]]:
    """A bike file's name (or the one given) and journal entries.

    Raises `FileProblems`, all problems at once.
    """
    return _bike_of(rules, read_yaml_file(path), today, name)


def bike_from_bytes(
    rules: RuleBase, raw: bytes, label: str, today: date
) -> tuple[str, list[BikeEntry]]:
    """A bike file's name and entries from bytes, called `label` in messages.

    Raises `FileProblems`, all problems at once.
    """
    return _bike_of(rules, read_yaml_bytes(raw, label), today, None)


def _bike_of(
    rules: RuleBase, document: YamlText, today: date, name: str | None
) -> tuple[str, list[BikeEntry]]:
    try:
        shape = BikeFile.model_validate(document.data)
    except ValidationError as error:
        raise FileProblems(document.from_validation(error)) from error
    reader = _Reader(rules, document, today)
    entries = list(reader.entries(shape))
    proper = good_name(name) if name is not None else reader.name(shape.name)
    if reader.problems:
        raise FileProblems(reader.problems)
    return proper, entries


class _Reader:
    """Reads the parts of a bike file, noting every problem with its place."""

    def __init__(self, rules: RuleBase, document: YamlText, today: date) -> None:
        self._rules = rules
        self._document = document
        self._today = today
        self.problems = Collected()

    def entries(self, shape: BikeFile) -> Iterator[BikeEntry]:
        for trait, option in shape.machine.items():
            facts = partial(read_facts, self._rules, [f"{trait}={option}"], None)
            yield from self._each(("machine", trait), facts)
        if shape.use is not None:
            yield from self._each(("use",), partial(read_facts, self._rules, [], shape.use))
        for name, figure in shape.figures.items():
            yield from self._each(("figures", name), partial(self._figure, name, figure))
        for number, line in enumerate(shape.log):
            yield from self._each(("log", number), partial(self._line, line))
        if shape.archived:
            yield ArchivedEntry(archived=True)

    def name(self, given: str) -> str:
        """The name as it is kept."""
        return next(iter(self._each(("name",), partial(good_name, given))), "")

    def _figure(self, name: str, figure: _Figure) -> BikeEntry:
        text = f"{name}={figure.figure}"
        return read_figure(self._rules, text, figure.read_in, self._day(figure.date))

    def _line(self, line: _Log) -> BikeEntry:
        on = self._day(line.date)
        if line.service is not None:
            return read_service(self._rules, line.service, on, line.note)
        if line.setting is not None:
            text = f"{line.setting}={line.value}"
            return read_setting(self._rules, text, on, baseline=line.baseline, why=line.note)
        return read_ride(
            Bike(""),
            line.ride,
            line.meter,
            on,
            new_meter=line.new_meter,
            why=line.note,
            felt=line.felt,
        )

    def _day(self, text: str | None) -> date:
        return self._today if text is None else read_date(text, self._today)

    def _each(self, location: Location, read: Callable[[], T]) -> list[T]:
        try:
            return [read()]
        except BadInput as error:
            self.problems.append(self._document.problem("bike", location, str(error)))
            return []


_Dated = tuple[tuple[date, int], dict[str, Any]]


def _settings(bike: Bike) -> Iterator[_Dated]:
    marked = {setting.seq for setting in bike.baseline.values()}
    for s in bike.settings:
        name, baseline = s.answer.observation, s.seq in marked
        values = {"setting": name, "value": _value(s.answer), "baseline": baseline}
        yield (s.on, s.seq), _without_empty(date=s.on.isoformat(), **values, note=s.note)


def _rides(bike: Bike) -> Iterator[_Dated]:
    for r in bike.rides:
        ridden = (
            {"ride": _exact(r.hours, "h")}
            if r.meter is None
            else {"meter": _exact(r.meter, "h"), "new_meter": r.new_meter}
        )
        yield (
            (r.on, r.seq),
            _without_empty(date=r.on.isoformat(), **ridden, felt=r.felt, note=r.note),
        )


def _services(bike: Bike) -> Iterator[_Dated]:
    for s in bike.services:
        yield (s.on, s.seq), _without_empty(date=s.on.isoformat(), service=s.clock, note=s.note)


def _value(answer: Answered) -> str:
    if answer.reading is not None:
        return _exact(answer.reading.value, answer.reading.unit)
    return answer.state or ""


def _exact(value: float, unit: str) -> str:
    return f"{value!r} {unit}".replace(".0 ", " ").strip()


def _without_empty(**values: Any) -> dict[str, Any]:
    return {key: value for key, value in values.items() if value not in (None, "", False)}
