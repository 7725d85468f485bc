"""From what is known of a bike to the two ends the harshness budget compares.

What was measured is set against what it should be. A value nobody measured is taken as it should
be, so it has no share in the budget; that is said wherever a budget is shown. The hardware is the
stand-in of :mod:`diagnose.physics.ride.reference_bike`.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum

from diagnose.physics.atmosphere import SEA_LEVEL_PRESSURE, standard_pressure
from diagnose.physics.budget.axle_budget import Factor
from diagnose.physics.ride.axle import Axle, Setup
from diagnose.physics.ride.harshness import Bike, BikeSetup
from diagnose.physics.ride.lanes import SetupLanes, UnknownScales, build_lanes
from diagnose.physics.ride.reference_bike import RAKE, reference_bike, reference_setup
from diagnose.physics.springs.sag import friction_band
from diagnose.physics.springs.trapped_air import gauge_pressure_after_climb
from rules.problems import BadInput
from rules.units.quantities import Quantity, parse_quantity

__all__ = [
    "HARDWARE_SOURCE",
    "PLACES",
    "VALUES",
    "End",
    "HarshnessCase",
    "Known",
    "Used",
    "Value",
    "build_case",
    "questions",
    "read_value",
]

_MEMORY = "from memory; the manual's figure goes first"
_ADJUSTER = "from memory, a middle of printed standards; the manual's figure goes first"

HARDWARE_SOURCE = (
    "a full-size stand-in with a rider of about 80 kg: masses and spring rates computed from "
    "printed figures, damping curves and friction from memory"
)
"""What stands in for the bike itself. Source: :mod:`diagnose.physics.ride.reference_bike`."""


class End(StrEnum):
    """Which end of the bike."""

    FRONT = "front"
    REAR = "rear"


@dataclass(frozen=True, slots=True)
class Value:
    """One thing to measure.

    Attributes:
        name: what it is called on the command line.
        end: where it is measured; None where it is a place rather than a part.
        title: how it is asked.
        unit: unit of a bare number.
        standard: what it should be until the manual says otherwise; empty where nothing should.
        source: how `standard` is known.
        possible: least and most that can be.
        usual: least and most that does not surprise.
        factor: what the budget books it under.
        asked: False for what few bikes have or few people know: only taken, never asked.
    """

    name: str
    end: End | None
    title: str
    unit: str
    standard: str
    source: str
    possible: tuple[float, float]
    usual: tuple[float, float]
    factor: Factor | None = None
    asked: bool = True


def _clicks(name: str, end: End, title: str, standard: str, factor: Factor) -> Value:
    return Value(
        name, end, f"{title}, clicks out from gently closed", "clicks", standard, _ADJUSTER,
        (0.0, 60.0), (0.0, 30.0), factor,
    )  # fmt: skip


def _tyre(name: str, end: End, title: str) -> Value:
    return Value(
        name, end, f"{title} pressure, cold", "psi", "12.5 psi",
        "common practice, about 12 to 13 psi on the track; the manual's figure goes first",
        (0.0, 80.0), (6.0, 35.0), Factor.TYRE_PRESSURE,
    )  # fmt: skip


def _gap(name: str, end: End, title: str) -> Value:
    return Value(
        name, end, f"{title}: gap between its rest points after a push down and after a lift",
        "mm", "10 mm", _MEMORY, (0.0, 150.0), (0.0, 45.0), Factor.FRICTION,
    )  # fmt: skip


def _turns(name: str, end: End, title: str, *, asked: bool) -> Value:
    return Value(
        name, end, f"{title}, turns out from gently closed", "turns", "1.75 turns",
        "Yamaha Motor Co., WR450F owner's manual, 2016, p. 2-9; the own manual goes first",
        (0.0, 8.0), (0.0, 4.0), Factor.HIGH_SPEED_COMPRESSION, asked,
    )  # fmt: skip


VALUES: Mapping[str, Value] = {
    value.name: value
    for value in (
        _tyre("front-tyre", End.FRONT, "Front tyre"),
        _clicks(
            "fork-compression", End.FRONT, "Fork compression", "12 clicks",
            Factor.LOW_SPEED_COMPRESSION,
        ),
        _turns("fork-high-speed", End.FRONT, "Fork high-speed compression", asked=False),
        _clicks("fork-rebound", End.FRONT, "Fork rebound", "12 clicks", Factor.REBOUND),
        _gap("front-gap", End.FRONT, "Front"),
        Value(
            "front-sag", End.FRONT, "Front sag with the rider on, along the leg", "mm", "68 mm",
            _MEMORY, (0.0, 300.0), (30.0, 110.0), Factor.SPRING,
        ),
        Value(
            "fork-spring", End.FRONT, "Fork spring, rate of each", "N/mm", "4.7 N/mm",
            "middle of 4.4 to 5.0 N/mm, from memory; the manual's figure goes first",
            (1.0, 15.0), (3.0, 7.0), Factor.SPRING, asked=False,
        ),
        Value(
            "trapped-air", End.FRONT, "Air in the fork, gauge at full extension", "kPa", "0 kPa",
            "owner's-manual practice: a coil fork is made to run with no added air",
            (-101.0, 600.0), (-35.0, 60.0), Factor.TRAPPED_AIR, asked=False,
        ),
        _tyre("rear-tyre", End.REAR, "Rear tyre"),
        _clicks(
            "shock-low-speed", End.REAR, "Shock low-speed compression", "12 clicks",
            Factor.LOW_SPEED_COMPRESSION,
        ),
        _turns("shock-high-speed", End.REAR, "Shock high-speed compression", asked=True),
        _clicks("shock-rebound", End.REAR, "Shock rebound", "13 clicks", Factor.REBOUND),
        _gap("rear-gap", End.REAR, "Rear"),
        Value(
            "rear-sag", End.REAR, "Rear sag with the rider on", "mm", "100 mm",
            "Honda Motor Co., CR250R owner's manual, 2004, p. 52; the own manual goes first",
            (0.0, 307.0), (60.0, 150.0), Factor.SPRING,
        ),
        Value(
            "shock-spring", End.REAR, "Shock spring rate", "N/mm", "56 N/mm",
            "Yamaha Motor Co., WR450F owner's manual, 2016, p. 2-9; the own manual goes first",
            (15.0, 200.0), (38.0, 80.0), Factor.SPRING, asked=False,
        ),
    )
}  # fmt: skip
"""What can be told of a bike, front first. The standards agree with those of the pack that "
"ships."""

PLACES: Mapping[str, Value] = {
    value.name: value
    for value in (
        Value(
            "bled-at", None, "Height of the place where the forks were last bled", "m", "", "",
            (-400.0, 6000.0), (-100.0, 4000.0),
        ),
        Value(
            "ridden-at", None, "Height of the place where it is ridden", "m", "", "",
            (-400.0, 6000.0), (-100.0, 4000.0),
        ),
        Value(
            "bled-temperature", None, "Temperature of the fork when it was bled", "°C", "", "",
            (-50.0, 150.0), (-10.0, 45.0), asked=False,
        ),
        Value(
            "fork-temperature", None, "Temperature of the fork on the ride", "°C", "", "",
            (-50.0, 200.0), (-10.0, 80.0), asked=False,
        ),
    )
}  # fmt: skip
"""Where and how warm the forks were bled: trapped air is worked out from it."""


@dataclass(frozen=True, slots=True)
class Known:
    """What somebody measured, and what the manual says it should be, by the name of the value."""

    measured: Mapping[str, Quantity] = field(default_factory=dict)
    targets: Mapping[str, Quantity] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Used:
    """One value as the budget uses it.

    Attributes:
        value: what it is.
        measured: as measured; None where it is taken as it should be.
        target: what it should be.
        target_given: whether somebody said so; otherwise it is the standard.
    """

    value: Value
    measured: Quantity | None
    target: Quantity
    target_given: bool


@dataclass(frozen=True, slots=True)
class HarshnessCase:
    """A bike as measured and as it should be, ready to be compared."""

    bike: Bike
    measured: BikeSetup
    target: BikeSetup
    used: tuple[Used, ...]

    def axle(self, end: End) -> Axle:
        """The hardware of one end."""
        return self.bike.front if end is End.FRONT else self.bike.rear

    def setups(self, end: End) -> tuple[Setup, Setup]:
        """One end as measured and as it should be."""
        if end is End.FRONT:
            return self.measured.front, self.target.front
        return self.measured.rear, self.target.rear

    def any_measured(self, end: End) -> bool:
        """Whether anything at all was measured at this end."""
        return any(item.measured is not None for item in self.used if item.value.end is end)


def read_value(name: str, text: str) -> Quantity:
    """A value as a person writes it, such as `25 psi`.

    Raises `BadInput` naming the value and what would be accepted.
    """
    value = _value(name)
    try:
        quantity = parse_quantity(text, value.unit)
    except BadInput as error:
        raise BadInput(f"{name}: {error}") from None
    return _possible(value, quantity)


def _value(name: str) -> Value:
    value = VALUES.get(name) or PLACES.get(name)
    if value is None:
        from rules.yaml_source import suggest  # noqa: PLC0415  # YAML, for an error alone

        known = [*VALUES, *PLACES]
        raise BadInput(
            f"{name!r} is not a value of the harshness budget{suggest(name, known)}; "
            f"there are {', '.join(known)}"
        )
    return value


def _possible(value: Value, quantity: Quantity) -> Quantity:
    low, high = value.possible
    size = quantity.to(value.unit).value
    if not low <= size <= high:
        why = ", below a vacuum" if size < low and value.name == "trapped-air" else ""
        raise BadInput(
            f"{value.name} is {quantity}{why}; it must be between {low:g} and {high:g} {value.unit}"
        )
    return quantity


def questions(known: Known) -> Iterator[str]:
    """What can be but is surprising, asked back: a slip of the pen changes every share."""
    for name, quantity in known.measured.items():
        value = _value(name)
        low, high = value.usual
        if not low <= quantity.to(value.unit).value <= high:
            yield (
                f"{name} is {quantity}; {low:g} to {high:g} {value.unit} is usual. "
                "Is that what was read?"
            )


def build_case(known: Known) -> HarshnessCase:
    """Both ends, as measured and as they should be.

    Raises `BadInput` for a name that is not one of `VALUES` or `PLACES`, a value that cannot be, or
    trapped air told in two ways.
    """
    for given in (known.measured, known.targets):
        for name, quantity in given.items():
            _possible(_value(name), quantity)
    air, outside = _trapped_air(known)
    if air is not None:
        gauge = Quantity(air / 1000.0, "kPa")
        known = Known({**known.measured, "trapped-air": gauge}, known.targets)
    used = tuple(_used(value, known) for value in VALUES.values())
    look = _Look({item.value.name: item for item in used}, outside)
    standard, bike = reference_setup(), reference_bike()
    front, measured_front, target_front = _end(bike.front, standard.front, look, _FORK)
    rear, measured_rear, target_rear = _end(bike.rear, standard.rear, look, _SHOCK)
    return HarshnessCase(
        bike=Bike(front, rear),
        measured=BikeSetup(measured_front, measured_rear),
        target=BikeSetup(target_front, target_rear),
        used=used,
    )


def _used(value: Value, known: Known) -> Used:
    target = known.targets.get(value.name)
    standard = target or parse_quantity(value.standard, value.unit)
    return Used(value, known.measured.get(value.name), standard, target is not None)


def _trapped_air(known: Known) -> tuple[float | None, float]:
    """Gauge pressure (Pa) of the air in the legs where anything says so, and open-air pressure (Pa)
    where the bike is ridden."""
    places = {
        name: known.measured[name].to("K" if PLACES[name].unit == "°C" else "m").value
        for name in PLACES
        if name in known.measured
    }
    told = known.measured.get("trapped-air")
    by_place = {"bled-at", "bled-temperature", "fork-temperature"} & set(places)
    if told is not None and by_place:
        raise BadInput(
            f"trapped-air and {', '.join(sorted(by_place))} both say how much air is in the fork; "
            "give one or the other"
        )
    here = places.get("ridden-at", places.get("bled-at", 0.0))
    if told is not None:
        return told.to("Pa").value, standard_pressure(here)
    if not by_place:
        return None, standard_pressure(here) if places else SEA_LEVEL_PRESSURE
    bled = places.get("bled-at", here)
    gauge = gauge_pressure_after_climb(
        bled,
        here,
        bled_temperature=places.get("bled-temperature"),
        leg_temperature=places.get("fork-temperature"),
    )
    return gauge, standard_pressure(here)


@dataclass(frozen=True, slots=True)
class _Names:
    """Which values describe an end, and how a length along it becomes one upright at the wheel."""

    tyre: str
    low: str
    high: str
    rebound: str
    gap: str
    sag: str
    spring: str
    upright: float


_FORK = _Names(
    "front-tyre", "fork-compression", "fork-high-speed", "fork-rebound", "front-gap", "front-sag",
    "fork-spring", math.cos(RAKE),
)  # fmt: skip
_SHOCK = _Names(
    "rear-tyre", "shock-low-speed", "shock-high-speed", "shock-rebound", "rear-gap", "rear-sag",
    "shock-spring", 1.0,
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Look:
    """Values by name, in the unit asked for."""

    used: Mapping[str, Used]
    outside: float

    def should(self, name: str, unit: str) -> float:
        """What it should be."""
        return self.used[name].target.to(unit).value

    def found(self, name: str, unit: str) -> float:
        """As measured, or as it should be."""
        measured = self.used[name].measured
        return self.should(name, unit) if measured is None else measured.to(unit).value


def _end(axle: Axle, standard: Setup, look: _Look, names: _Names) -> tuple[Axle, Setup, Setup]:
    """The hardware, the setup as measured and the setup as it should be."""
    # The damping curve is that of the bike with its adjusters where they should be.
    axle = replace(
        axle,
        adjusters=replace(
            axle.adjusters,
            low_compression_standard=look.should(names.low, "clicks"),
            high_compression_standard=look.should(names.high, "turns"),
            rebound_standard=look.should(names.rebound, "clicks"),
        ),
    )
    target = replace(
        standard,
        tyre_pressure=look.should(names.tyre, "Pa"),
        low_speed_compression=look.should(names.low, "clicks"),
        high_speed_compression=look.should(names.high, "turns"),
        rebound=look.should(names.rebound, "clicks"),
        friction=_friction(look.should(names.gap, "m"), standard, names),
        air_pressure=look.outside,
    )
    measured = replace(
        target,
        tyre_pressure=look.found(names.tyre, "Pa"),
        low_speed_compression=look.found(names.low, "clicks"),
        high_speed_compression=look.found(names.high, "turns"),
        rebound=look.found(names.rebound, "clicks"),
        friction=_friction(look.found(names.gap, "m"), standard, names),
        trapped_pressure=look.found("trapped-air", "Pa") if axle.air.area > 0.0 else 0.0,
    )
    stiffer = look.found(names.spring, "N/m") / look.should(names.spring, "N/m")
    deeper = look.found(names.sag, "m") - look.should(names.sag, "m")
    if look.used[names.sag].measured is None and stiffer == 1.0:
        return axle, measured, target
    return axle, _sprung(axle, measured, target, stiffer, deeper * names.upright), target


def _friction(gap: float, standard: Setup, names: _Names) -> float:
    """Friction (N) at the wheel behind a gap (m) between rest points."""
    return friction_band(gap * names.upright, standard.spring_rate).force


def _sprung(axle: Axle, measured: Setup, target: Setup, stiffer: float, deeper: float) -> Setup:
    """`measured` with the spring and preload that stand it `deeper` (m) than it should.

    Where even no preload leaves it too high for the sag that was read, the spring must be softer
    than said, and is taken so.
    """
    stands = _stands(axle, target) + deeper
    if not 0.0 < stands < axle.travel:
        raise BadInput(
            f"the sag given puts this end {1000 * stands:.0f} mm into its travel; "
            f"it must be between 0 and {1000 * axle.travel:.0f} mm"
        )
    carried = axle.sprung_weight - _air(axle, measured, stands)
    rate = target.spring_rate * stiffer
    preload = carried - rate * stands
    if preload < 0.0:
        rate, preload = max(carried, 1.0) / stands, 0.0
    return replace(measured, spring_rate=rate, spring_preload=preload)


def _air(axle: Axle, setup: Setup, travel: float) -> float:
    """Force (N) of the trapped air at `travel` (m)."""
    if axle.air.area == 0.0:
        return 0.0
    squeezed = float((1.0 - travel / axle.air.length) ** -axle.air.exponent)
    absolute = setup.trapped_pressure + setup.air_pressure
    return axle.air.area * (absolute * squeezed - setup.air_pressure)


def _stands(axle: Axle, setup: Setup) -> float:
    """Travel (m) the end stands at with the rider on, friction left out."""
    lanes = build_lanes(axle, SetupLanes.of([setup]), UnknownScales.ones(1))
    return float(lanes.rest_travel()[0].item())
