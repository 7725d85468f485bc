"""Trapped air in a sealed fork, and the open air it is measured against."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.calculators.model import AIR_CAUTION, Calculator, Input, Result, Values
from diagnose.harshness.stand_in import stand_in
from diagnose.harshness.values import VALUES
from diagnose.physics.atmosphere import (
    geopotential_altitude,
    pressure_altitude,
    standard_density,
    standard_pressure,
    standard_temperature,
)
from diagnose.physics.errors import PhysicsError
from diagnose.physics.springs.trapped_air import (
    SealedLeg,
    air_force,
    axle_air_force,
    gauge_pressure_after_climb,
    sag_lost,
)

_LEG = "from memory for a full-size fork; the manual's figure goes first"
_HEIGHT = (-400.0, 6000.0)
_USUAL_HEIGHT = (-100.0, 4000.0)

_FORK_LEG = stand_in().fork_leg


def _gauge(values: Values) -> float:
    return gauge_pressure_after_climb(
        values.si("bled-at"),
        values.si("ridden-at"),
        bled_temperature=values.maybe("bled-temperature"),
        leg_temperature=values.maybe("fork-temperature"),
    )


def _trapped(values: Values) -> Iterator[Result]:
    gauge, outside = _gauge(values), standard_pressure(values.si("ridden-at"))
    leg = SealedLeg(values.si("bore"), values.si("air-volume"), values.si("stroke"))
    yield Result("ratio", "Compression ratio of a leg", leg.compression_ratio, "", ("",))
    yield Result("gauge", "Pressure in each leg, fully extended", gauge, "Pa", ("kPa", "psi"))
    extra = air_force(leg, gauge, outside, 0.0)
    yield Result("force", "Extra force of each leg, fully extended", extra, "N", ("N", "kgf"))
    deep = air_force(leg, gauge, outside, 0.75 * leg.stroke)
    bled = air_force(leg, 0.0, outside, 0.75 * leg.stroke)
    yield Result(
        "force-deep", "Extra force of each leg, three quarters in", deep - bled, "N", ("N", "kgf")
    )
    at_axle = axle_air_force(leg, gauge, outside, 0.0, stand_in().rake)
    yield Result(
        "force-at-axle", "Extra force of both legs at the axle", at_axle, "N", ("N", "kgf")
    )
    lost = sag_lost(leg, gauge, values.si("spring-rate"))
    yield Result("sag-lost", "Front stands higher by, along the leg", lost, "m", ("mm",))


def _trapped_words(values: Values) -> Iterator[str]:
    gauge = _gauge(values)
    if gauge > 500.0:
        yield (
            "Trapped air: the fork is firmer all through its stroke. Bleed it before touching a "
            "clicker."
        )
    elif gauge < -500.0:
        yield "The legs suck: the fork stands low. Bleed it where it is ridden."
    else:
        yield "Next to no air is trapped."


def _open_air(values: Values) -> Iterator[Result]:
    if values.has("barometer") == values.has("height"):
        raise PhysicsError("give height or barometer, one of the two")
    height = values.maybe("height")
    if height is None:
        height = pressure_altitude(values.si("barometer"))
        yield Result("height", "Height with that pressure", height, "m", ("m", "ft"))
    else:
        height = geopotential_altitude(height)
    pressure = standard_pressure(height)
    yield Result("pressure", "Open-air pressure", pressure, "Pa", ("kPa", "psi"))
    yield Result(
        "temperature", "Standard temperature", standard_temperature(height), "K", ("°C", "°F")
    )
    thin = 100.0 * standard_density(height) / standard_density(0.0)
    yield Result("density", "Density, of that at sea level", thin, "%", ("%",))
    gain = standard_pressure(0.0) - pressure
    yield Result("gain", "Gauge gain of air shut in at sea level", gain, "Pa", ("kPa", "psi"))


CALCULATORS = (
    Calculator(
        name="trapped-air",
        title="Air shut in a fork: its pressure after a climb or warmth, and what it does",
        formula="p_gauge = p_air(bled-at) x T_fork / T_bled - p_air(ridden-at);  F = A x p_gauge",
        inputs=(
            Input(
                "bled-at",
                "height of the place where it was bled",
                "m",
                possible=_HEIGHT,
                usual=_USUAL_HEIGHT,
            ),
            Input(
                "ridden-at",
                "height of the place where it is ridden",
                "m",
                possible=_HEIGHT,
                usual=_USUAL_HEIGHT,
            ),
            Input(
                "bled-temperature",
                "temperature of the fork when it was bled; left out, that of the "
                "standard atmosphere",
                "°C",
                optional=True,
                possible=(-50, 150),
                usual=(-10, 45),
            ),
            Input(
                "fork-temperature",
                "temperature of the fork on the ride; left out, that of the standard atmosphere",
                "°C",
                optional=True,
                possible=(-50, 200),
                usual=(-10, 80),
            ),
            Input(
                "bore",
                "diameter of the sliding section",
                "mm",
                f"{1000 * _FORK_LEG.bore:g} mm",
                _LEG,
                possible=(20, 80),
                usual=(35, 60),
            ),
            Input(
                "air-volume",
                "air in a leg at full extension",
                "cm3",
                f"{1e6 * _FORK_LEG.air_volume:g} cm3",
                _LEG,
                possible=(50, 3000),
                usual=(300, 1200),
            ),
            Input(
                "stroke",
                "stroke along the leg",
                "mm",
                f"{1000 * _FORK_LEG.stroke:g} mm",
                "Yamaha Motor Co., YZ250F owner's service manual, 2007, p. 2-3 (wheel travel)",
                possible=(50, 400),
                usual=(180, 320),
            ),
            Input(
                "spring-rate",
                "rate of the spring in each leg",
                "N/mm",
                VALUES["fork-spring"].standard,
                "middle of 4.4 to 5.0 N/mm, from memory",
                possible=(1, 20),
                usual=(3, 7),
            ),
        ),
        source="gas law on the standard atmosphere of ISO 2533:1975; stroke at n = 1.3, from "
        "memory",
        module="diagnose.physics.springs.trapped_air",
        compute=_trapped,
        say=_trapped_words,
        cautions=(AIR_CAUTION,),
    ),
    Calculator(
        name="open-air",
        title="Open-air pressure at a height, or the height a barometer shows",
        formula="p = 101.325 kPa x (T / 288.15 K)^5.25588, T = 288.15 K - 6.5 K per km",
        inputs=(
            Input(
                "height",
                "height above the sea",
                "m",
                optional=True,
                possible=_HEIGHT,
                usual=_USUAL_HEIGHT,
            ),
            Input(
                "barometer",
                "open-air pressure",
                "kPa",
                optional=True,
                possible=(40, 110),
                usual=(60, 105),
            ),
        ),
        source="ISO 2533:1975, standard atmosphere; weather moves the real pressure by some 2 kPa",
        module="diagnose.physics.atmosphere",
        compute=_open_air,
    ),
)
