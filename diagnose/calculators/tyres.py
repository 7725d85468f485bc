"""Tyre pressure against temperature and altitude, and the stiffness it gives."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.calculators.model import Calculator, Input, Result, Values
from diagnose.harshness.stand_in import stand_in
from diagnose.physics.atmosphere import standard_pressure
from diagnose.physics.springs.tyre_pressure import (
    CARCASS_STIFFNESS,
    cold_equivalent,
    gauge_after_change,
    radial_stiffness,
)
from rules.units.quantities import Quantity

_CELSIUS = (-50.0, 150.0)
_FRONT = stand_in().front.axle
_PRESSURE = Input(
    "pressure", "gauge pressure as set or read", "psi", possible=(0, 80), usual=(6, 35)
)


def _height(name: str, title: str) -> Input:
    source = "taken as sea level"
    return Input(name, title, "m", "0 m", source, possible=(-400, 6000), usual=(-100, 4000))


def _change(values: Values) -> Iterator[Result]:
    first, second = values.si("temperature"), values.si("new-temperature")
    here = standard_pressure(values.si("height"))
    there = standard_pressure(values.si("new-height"))
    now = gauge_after_change(values.si("pressure"), first, second, here, there)
    yield Result("gauge", "Gauge pressure then", now, "Pa", ("psi", "kPa", "bar"))
    change = now - values.si("pressure")
    yield Result("change", "Change", change, "Pa", ("psi", "kPa"))


def _cold(values: Values) -> Iterator[Result]:
    here = standard_pressure(values.si("height"))
    cold = cold_equivalent(values.si("pressure"), values.si("hot"), values.si("cold"), here)
    yield Result("cold", "It would read, cold", cold, "Pa", ("psi", "kPa", "bar"))


def _stiffness(values: Values) -> Iterator[Result]:
    def stiff(pressure: float) -> float:
        return radial_stiffness(
            pressure, values.si("radius"), values.si("crown"), values.si("carcass")
        )

    pressure = values.si("pressure")
    whole = stiff(pressure)
    yield Result(
        "stiffness", "Radial stiffness", whole, "N/m", ("N/mm",), 0.85 * whole, 1.15 * whole
    )
    psi = Quantity(1.0, "psi").to("Pa").value
    yield Result("per-psi", "More for each psi", stiff(pressure + psi) - whole, "N/m", ("N/mm",))


CALCULATORS = (
    Calculator(
        name="tyre-pressure",
        title="Tyre pressure after warming, cooling or a change of height",
        formula="p2 = (p1 + p_air1) x T2 / T1 - p_air2",
        inputs=(
            _PRESSURE,
            Input(
                "temperature", "tyre temperature when set", "°C", possible=_CELSIUS, usual=(-5, 45)
            ),
            Input(
                "new-temperature", "tyre temperature now", "°C", possible=_CELSIUS, usual=(-5, 80)
            ),
            _height("height", "height where it was set"),
            _height("new-height", "height now"),
        ),
        source="ideal gas law at constant volume; standard atmosphere of ISO 2533:1975",
        module="diagnose.physics.springs.tyre_pressure",
        compute=_change,
        say=lambda _: ("Targets are for a cold tyre, so set it cold.",),
    ),
    Calculator(
        name="tyre-hot",
        title="What a tyre read hot would read cold",
        formula="p_cold = (p_hot + p_air) x T_cold / T_hot - p_air",
        inputs=(
            _PRESSURE,
            Input("hot", "tyre temperature when read", "°C", possible=_CELSIUS, usual=(10, 80)),
            Input("cold", "temperature of a cold tyre", "°C", possible=_CELSIUS, usual=(-5, 45)),
            _height("height", "height where it was read"),
        ),
        source="ideal gas law at constant volume; cold targets are owner's-manual practice",
        module="diagnose.physics.springs.tyre_pressure",
        compute=_cold,
    ),
    Calculator(
        name="tyre-stiffness",
        title="How stiff a tyre is at a pressure",
        formula="k = 2 pi x p x sqrt(R x r) + carcass",
        inputs=(
            _PRESSURE,
            Input(
                "radius",
                "outer radius of the tyre",
                "mm",
                f"{1000 * _FRONT.wheel_radius:g} mm",
                "a full-size 21-inch front, computed from its printed size",
                possible=(100, 600),
                usual=(250, 400),
            ),
            Input(
                "crown",
                "radius of the tread across the wheel",
                "mm",
                f"{1000 * _FRONT.crown_radius:g} mm",
                "half of the printed width, computed",
                possible=(10, 150),
                usual=(30, 80),
            ),
            Input(
                "carcass",
                "stiffness without air",
                "N/mm",
                f"{CARCASS_STIFFNESS / 1000:g} N/mm",
                "from memory, a middle of 10 to 40 N/mm",
                possible=(0, 200),
                usual=(5, 60),
            ),
        ),
        source="computed from the contact patch; the range of 15 % either way is from memory",
        module="diagnose.physics.springs.tyre_pressure",
        compute=_stiffness,
    ),
)
