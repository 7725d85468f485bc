"""From what is known of a bike to the two ends the harshness budget compares.

What was measured is compared with what it should be. A value nobody measured is taken to be as it
should, so it has no share in the budget; this is said wherever a budget is shown. The hardware is
that of :mod:`diagnose.harshness.stand_in`.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from diagnose.harshness.stand_in import StandInEnd, stand_in
from diagnose.harshness.values import PLACES, VALUES, End, KnownValues, Value
from diagnose.physics.atmosphere import SEA_LEVEL_PRESSURE, standard_pressure
from diagnose.physics.ride.axle import Axle, Setup
from diagnose.physics.ride.lanes import SetupLanes, UnknownScales, build_lanes
from diagnose.physics.springs.sag import friction_band
from diagnose.physics.springs.trapped_air import gauge_pressure_after_climb
from rules.problems import BadInput
from rules.units.quantities import Quantity, parse_quantity

__all__ = ["HarshnessCase", "Used", "build_case"]

OF_THE_KIND = "rule of thumb for this kind of bike; the manual's figure goes first"


@dataclass(frozen=True, slots=True)
class Used:
    """One value as the budget uses it.

    `value`: what it is.
    `measured`: as measured; None where it is taken as it should be.
    `target`: what it should be.
    `target_given`: whether somebody said so; otherwise it is a rule of thumb.
    `why`: whose figure it is, in words.
    """

    value: Value
    measured: Quantity | None
    target: Quantity
    target_given: bool
    why: str


@dataclass(frozen=True, slots=True)
class Compared:
    """One end: its hardware, how it was found and how it should be."""

    axle: Axle
    measured: Setup
    target: Setup


@dataclass(frozen=True, slots=True)
class HarshnessCase:
    """A bike as measured and as it should be, ready to be compared.

    `known`: what it was made from.
    `ends`: both ends.
    `used`: every value as the budget uses it.
    """

    known: KnownValues
    ends: Mapping[End, Compared]
    used: tuple[Used, ...]

    def axle(self, end: End) -> Axle:
        """The hardware of one end."""
        return self.ends[end].axle

    def setups(self, end: End) -> tuple[Setup, Setup]:
        """One end as measured and as it should be."""
        return self.ends[end].measured, self.ends[end].target

    def used_value(self, name: str) -> Used:
        """The value called `name` as the budget uses it. Raises `KeyError` for an unknown one."""
        return {item.value.name: item for item in self.used}[name]

    def has(self, name: str) -> bool:
        """Whether the bike has what the value called `name` is about."""
        return VALUES[name].is_on(self.known.traits)

    def measured_at(self, end: End) -> tuple[Value, ...]:
        """What was measured at this end."""
        here = (item for item in self.used if item.value.end is end)
        return tuple(item.value for item in here if item.measured is not None)

    def any_measured(self, end: End) -> bool:
        """Whether anything at all was measured at this end."""
        return bool(self.measured_at(end))


def build_case(known: KnownValues) -> HarshnessCase:
    """Both ends, as measured and as they should be.

    Raises `BadInput` for a name that is not one of `VALUES` or `PLACES`, an impossible value, or
    trapped air given in two ways.
    """
    known.check()
    air, outside = _trapped_air(known)
    measured = dict(known.measured)
    if air is not None:
        measured["trapped-air"] = Quantity(air / 1000.0, "kPa")
    used = tuple(_used(value, measured, known) for value in VALUES.values())
    look = _Look({item.value.name: item for item in used}, outside)
    bike = stand_in(known.kind)
    ends = {
        End.FRONT: _end(bike.front, look, _FORK, math.cos(bike.rake)),
        End.REAR: _end(bike.rear, look, _SHOCK, 1.0),
    }
    return HarshnessCase(known, ends, used)


def _used(value: Value, measured: Mapping[str, Quantity], known: KnownValues) -> Used:
    target, is_given = known.targets.get(value.name), known.is_given(value.name)
    standard = target or parse_quantity(value.standard, value.unit)
    why = "as given" if is_given else OF_THE_KIND if target else value.source
    return Used(value, measured.get(value.name), standard, is_given, why)


def _trapped_air(known: KnownValues) -> tuple[float | None, float]:
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


_FRICTION_AT_TWICE_THE_TORQUE = 90.0


@dataclass(frozen=True, slots=True)
class _Names:
    """Which values describe an end."""

    tyre: str
    low: str
    high: str
    rebound: str
    gap: str
    sag: str
    spring: str
    clamps: str | None = None
    oil: str | None = None


_FORK = _Names(
    "front-tyre", "fork-compression", "fork-high-speed", "fork-rebound", "front-gap", "front-sag",
    "fork-spring", "fork-clamps", "fork-oil",
)  # fmt: skip
_SHOCK = _Names(
    "rear-tyre", "shock-low-speed", "shock-high-speed", "shock-rebound", "rear-gap", "rear-sag",
    "shock-spring",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Look:
    """Values by name, in the unit asked for."""

    used: Mapping[str, Used]
    outside: float

    def should(self, name: str, unit: str) -> float:
        """What the value should be."""
        return self.used[name].target.to(unit).value

    def found(self, name: str, unit: str) -> float:
        """The value as measured, or what it should be where nobody measured it."""
        measured = self.used[name].measured
        return self.should(name, unit) if measured is None else measured.to(unit).value


def _end(stand: StandInEnd, look: _Look, names: _Names, upright: float) -> Compared:
    """One end; `upright` turns a length along the suspension into a vertical one at the wheel."""
    # The damping curve is that of the bike with its adjusters where they should be.
    axle = replace(
        stand.axle,
        adjusters=replace(
            stand.axle.adjusters,
            low_compression_standard=look.should(names.low, "clicks"),
            high_compression_standard=look.should(names.high, "turns"),
            rebound_standard=look.should(names.rebound, "clicks"),
        ),
    )
    rate = stand.spring_rate
    target = Setup(
        tyre_pressure=look.should(names.tyre, "Pa"),
        low_speed_compression=look.should(names.low, "clicks"),
        high_speed_compression=look.should(names.high, "turns"),
        rebound=look.should(names.rebound, "clicks"),
        friction=friction_band(look.should(names.gap, "m") * upright, rate).force,
        trapped_pressure=0.0,
        spring_rate=rate,
        spring_preload=stand.spring_preload,
        air_pressure=look.outside,
    )
    measured = replace(
        target,
        tyre_pressure=look.found(names.tyre, "Pa"),
        low_speed_compression=look.found(names.low, "clicks"),
        high_speed_compression=look.found(names.high, "turns"),
        rebound=look.found(names.rebound, "clicks"),
        friction=friction_band(look.found(names.gap, "m") * upright, rate).force,
        trapped_pressure=look.found("trapped-air", "Pa") if axle.air.area > 0.0 else 0.0,
        clamp_friction=_clamp_friction(look, names),
        oil_raised=_oil_raised(look, names) * upright,
    )
    stiffer = look.found(names.spring, "N/m") / look.should(names.spring, "N/m")
    deeper = look.found(names.sag, "m") - look.should(names.sag, "m")
    if look.used[names.sag].measured is None:
        # another spring squeezed by as many millimetres
        stiff = replace(
            measured,
            spring_rate=target.spring_rate * stiffer,
            spring_preload=target.spring_preload * stiffer,
        )
        return Compared(axle, stiff, target)
    return Compared(axle, _sprung(axle, measured, target, stiffer, deeper * upright), target)


def _clamp_friction(look: _Look, names: _Names) -> float:
    """Friction (N) that over-tight clamps add; none where a gap was read, which holds it already.

    Source: our own: clamps at twice their torque squeeze the tubes into 90 N. The band is wide.
    """
    if names.clamps is None or look.used[names.gap].measured is not None:
        return 0.0
    over = look.found(names.clamps, "N·m") / max(look.should(names.clamps, "N·m"), 1.0) - 1.0
    return _FRICTION_AT_TWICE_THE_TORQUE * max(over, 0.0)


def _oil_raised(look: _Look, names: _Names) -> float:
    """How much (m, along the leg) too high the oil stands: the gap above it is that much less."""
    if names.oil is None:
        return 0.0
    return look.should(names.oil, "m") - look.found(names.oil, "m")


def _sprung(axle: Axle, measured: Setup, target: Setup, stiffer: float, deeper: float) -> Setup:
    """`measured` with the spring and preload at which it stands `deeper` (m) than it should.

    Where even without preload it would stand too high for the sag that was read, the spring is
    taken to be softer than given.
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
