"""A bike over time: its hours and readings as lines, its services and cases as marks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from diagnose.records.bikes.bike import Bike
from diagnose.records.cases.case_lists import CaseRow
from rules.rulebase import RuleBase
from rules.units.quantities import BadQuantity

DAYS = 365


@dataclass(frozen=True, slots=True)
class Plotted:
    """One figure over time, in `unit`; `observation` is None for the hours of the bike.

    `level` is what it should be: the baseline in force.
    """

    observation: str | None
    unit: str
    points: tuple[tuple[date, float], ...]
    level: float | None = None


@dataclass(frozen=True, slots=True)
class Mark:
    """A service (`of` is its clock) or a case (`of` is its number) on a day; `what` has the words
    that are kept with it."""

    on: date
    kind: Literal["service", "case"]
    of: str
    what: str = ""


@dataclass(frozen=True, slots=True)
class Season:
    """What is on record of a bike from the day `first` to the day `last`."""

    first: date
    last: date
    lines: tuple[Plotted, ...]
    marks: tuple[Mark, ...]


def season_of(
    rules: RuleBase, bike: Bike, cases: Sequence[CaseRow], today: date, days: int = DAYS
) -> Season:
    """The last so many days of a bike: its hours first, then what has been read most often.

    The time before the bike was on record is left out.
    """
    began = [bike.first_day or today, *(case.opened_at.astimezone().date() for case in cases)]
    first = min(max(today - timedelta(days=days), min(began)), today)
    lines = [_hours(bike), *_readings(rules, bike)]
    inside = [_within(line, first, today) for line in lines]
    marks = [
        *(Mark(s.on, "service", s.clock, s.note) for s in bike.services),
        *(
            Mark(
                case.opened_at.astimezone().date(),
                "case",
                str(case.id),
                f"{case.title}, {case.outcome or case.state}",
            )
            for case in cases
        ),
    ]
    shown = sorted((m for m in marks if first <= m.on <= today), key=lambda mark: mark.on)
    return Season(first, today, tuple(line for line in inside if line.points), tuple(shown))


def _hours(bike: Bike) -> Plotted:
    return Plotted(None, "h", tuple((ride.on, ride.total) for ride in bike.rides))


def _readings(rules: RuleBase, bike: Bike) -> list[Plotted]:
    points: dict[str, list[tuple[date, float]]] = {}
    for setting in bike.settings:
        name, reading = setting.answer.observation, setting.answer.reading
        entry = rules.observations.get(name)
        if entry is None or entry.unit is None or reading is None:
            continue
        try:
            points.setdefault(name, []).append((setting.on, reading.to(entry.unit).value))
        except BadQuantity:
            continue
    lines = []
    for name, found in points.items():
        unit = rules.observations[name].unit or ""
        baseline = bike.baseline.get(name)
        level = baseline.answer.reading if baseline else None
        lines.append(Plotted(name, unit, tuple(found), level.to(unit).value if level else None))
    return sorted(lines, key=lambda line: -len(line.points))


def _within(line: Plotted, first: date, last: date) -> Plotted:
    points = tuple(point for point in line.points if first <= point[0] <= last)
    return Plotted(line.observation, line.unit, points, line.level)
