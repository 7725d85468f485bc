"""A bike with its history, read from the entries of its journal."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime

from diagnose.case.events import Answered, Case
from diagnose.records.bikes.bike_journal import (
    ArchivedEntry,
    BikeEntry,
    FactsEntry,
    Felt,
    RideEntry,
    ServiceEntry,
    SettingEntry,
    StruckEntry,
    TargetEntry,
)
from rules.units.quantities import Quantity


@dataclass(frozen=True, slots=True)
class ManualFigure:
    """A target from the manual, where it was read and when; `seq` is its entry's number."""

    quantity: Quantity
    read_in: str
    on: date
    seq: int = field(default=0, compare=False)


@dataclass(frozen=True, slots=True)
class Setting:
    """How something was on a day, and when that was recorded. `is_baseline` says that it was marked
    as how it should be from then on, `measured_in` the case in which it was only found so."""

    seq: int
    answer: Answered
    on: date
    note: str = ""
    recorded: datetime | None = None
    is_baseline: bool = False
    measured_in: int | None = None


@dataclass(frozen=True, slots=True)
class Hours:
    """A ride: hours ridden on it, and the total after it (h)."""

    seq: int
    on: date
    hours: float
    total: float
    meter: float | None = None
    note: str = ""
    new_meter: bool = False
    felt: Felt | None = None


@dataclass(frozen=True, slots=True)
class Service:
    """A service, and the bike's total hours then (h)."""

    seq: int
    clock: str
    on: date
    total: float
    note: str = ""


@dataclass(frozen=True, slots=True)
class Bike:
    """A bike by name, with its history. `baseline` and `now` are by observation id."""

    name: str
    traits: Mapping[str, str] = field(default_factory=dict)
    use: str = ""
    targets: Mapping[str, ManualFigure] = field(default_factory=dict)
    baseline: Mapping[str, Setting] = field(default_factory=dict)
    now: Mapping[str, Setting] = field(default_factory=dict)
    settings: tuple[Setting, ...] = ()
    rides: tuple[Hours, ...] = ()
    services: tuple[Service, ...] = ()
    archived: bool = False
    version: int = 0

    @property
    def total_hours(self) -> float:
        """Hours on the bike as far as they are known (h)."""
        return self.rides[-1].total if self.rides else 0.0

    @property
    def machine(self) -> Case:
        """A case on this bike, without events."""
        targets = {name: figure.quantity for name, figure in self.targets.items()}
        return Case(dict(self.traits), targets)

    @property
    def first_day(self) -> date | None:
        """The earliest day that is on record of it."""
        dated: tuple[Setting | Hours | Service | ManualFigure, ...] = (
            *self.settings,
            *self.rides,
            *self.services,
            *self.targets.values(),
        )
        return min((one.on for one in dated), default=None)

    def latest_services(self) -> dict[str, Service]:
        """The latest service of each clock."""
        return {service.clock: service for service in self.services}


def fold_bike(name: str, entries: Sequence[BikeEntry], recorded: Sequence[datetime] = ()) -> Bike:
    """The bike that a journal's entries give; `recorded` has the moment of each, in their order."""
    moments = dict(enumerate(recorded, 1))
    struck = {entry.seq for entry in entries if isinstance(entry, StruckEntry)}
    numbered = [(n, e) for n, e in enumerate(entries, 1) if n not in struck]
    traits: dict[str, str] = {}
    use = ""
    targets: dict[str, ManualFigure] = {}
    archived = False
    for number, entry in numbered:
        match entry:
            case FactsEntry():
                traits |= entry.traits
                use = use if entry.use is None else entry.use
            case TargetEntry(figure=None):
                targets.pop(entry.spec, None)
            case TargetEntry(figure=figure) if figure is not None:
                targets[entry.spec] = ManualFigure(
                    figure.quantity(), entry.read_in, entry.on, number
                )
            case ArchivedEntry():
                archived = entry.archived
            case _:
                pass
    dated = [(n, e) for n, e in numbered if isinstance(e, SettingEntry | RideEntry | ServiceEntry)]
    dated.sort(key=lambda pair: (pair[1].on, pair[0]))
    settings = tuple(
        _setting(n, e, moments.get(n)) for n, e in dated if isinstance(e, SettingEntry)
    )
    rides, services = _hours(dated)
    return Bike(
        name,
        traits,
        use,
        targets,
        {s.answer.observation: s for s in settings if s.is_baseline},
        {setting.answer.observation: setting for setting in settings},
        settings,
        rides,
        services,
        archived,
        len(entries),
    )


def _setting(number: int, entry: SettingEntry, recorded: datetime | None) -> Setting:
    reading = entry.reading.quantity() if entry.reading is not None else None
    answer = Answered(entry.observation, entry.state, reading)
    return Setting(
        number, answer, entry.on, entry.note, recorded, entry.baseline, entry.measured_in
    )


def _hours(
    dated: Sequence[tuple[int, SettingEntry | RideEntry | ServiceEntry]],
) -> tuple[tuple[Hours, ...], tuple[Service, ...]]:
    """Rides and services with the running total.

    The first meter reading raises the total to that reading; later ones add what was not logged as
    hours since the last reading. A new meter counts from its own first reading.
    """
    rides: list[Hours] = []
    services: list[Service] = []
    total = 0.0
    meter: float | None = None
    logged = 0.0
    for number, entry in dated:
        if isinstance(entry, ServiceEntry):
            services.append(Service(number, entry.clock, entry.on, total, entry.note))
        if not isinstance(entry, RideEntry):
            continue
        hours = entry.hours or 0.0
        if entry.meter is None:
            logged += hours
        else:
            if meter is None:
                total = max(total, entry.meter - hours)
            elif not entry.new_meter:
                hours = max(entry.meter - meter - logged, 0.0)
            meter, logged = entry.meter, 0.0
        total += hours
        rides.append(
            Hours(
                number,
                entry.on,
                hours,
                total,
                entry.meter,
                entry.note,
                entry.new_meter,
                entry.felt,
            )
        )
    return tuple(rides), tuple(services)
