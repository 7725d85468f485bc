"""Tyre pressure against temperature and altitude, and the stiffness it gives the tyre.

Source of the gas law: ideal gas at constant volume. Source of the stiffness estimate:
computed from the shape of the contact patch (see :func:`radial_stiffness`); no measured
stiffness of an off-road tyre against pressure was found, so the result carries some 15 %
of doubt, from memory.
"""

import math

import numpy as np

from diagnose.physics.arrays import FloatArray
from diagnose.physics.atmosphere import SEA_LEVEL_PRESSURE
from diagnose.physics.errors import PhysicsError, finite, not_negative, positive

__all__ = [
    "CARCASS_STIFFNESS",
    "cold_equivalent",
    "damping_against_pressure",
    "gauge_after_change",
    "radial_stiffness",
    "stiffness_per_pascal",
]

CARCASS_STIFFNESS = 20_000.0
"""N/m that the carcass adds to the air. From memory, as a middle of 10,000 to 40,000 N/m."""


def gauge_after_change(
    gauge: float,
    temperature: float,
    new_temperature: float,
    air_pressure: float = SEA_LEVEL_PRESSURE,
    new_air_pressure: float | None = None,
) -> float:
    """Return the gauge pressure (Pa) of a tyre after its temperature or its altitude changed.

    `gauge`: gauge pressure (Pa) as set.
    `temperature`: tyre-air temperature (K) when it was set.
    `new_temperature`: tyre-air temperature (K) now.
    `air_pressure`: open-air pressure (Pa, absolute) where it was set.
    `new_air_pressure`: open-air pressure (Pa, absolute) now; left out means unchanged.

    Raises `PhysicsError` for gauge pressure below vacuum, or a pressure or temperature not above
    zero.

    Source: ideal gas law at constant volume: absolute pressure follows absolute temperature.
    """
    positive("air pressure", air_pressure, "Pa")
    if new_air_pressure is None:
        new_air_pressure = air_pressure
    positive("new air pressure", new_air_pressure, "Pa")
    positive("tyre temperature", temperature, "K")
    positive("new tyre temperature", new_temperature, "K")
    if finite("tyre gauge pressure", gauge, "Pa") <= -air_pressure:
        raise PhysicsError(
            f"tyre gauge pressure is {gauge:g} Pa, below a vacuum; "
            f"it must be above {-air_pressure:g} Pa"
        )
    return (gauge + air_pressure) * new_temperature / temperature - new_air_pressure


def cold_equivalent(
    hot_gauge: float,
    hot_temperature: float,
    cold_temperature: float,
    air_pressure: float = SEA_LEVEL_PRESSURE,
) -> float:
    """Return what a tyre read hot (Pa gauge at K) would read cold, at the same place.

    Specifications are for a cold tyre (owner's-manual practice), so a reading taken after a
    ride is turned into this before it is compared.

    Raises `PhysicsError` as :func:`gauge_after_change`.

    Source: :func:`gauge_after_change`.
    """
    return gauge_after_change(hot_gauge, hot_temperature, cold_temperature, air_pressure)


def stiffness_per_pascal(wheel_radius: float, crown_radius: float) -> float:
    """Return how many N/m each Pa of gauge pressure adds to the tyre's radial stiffness.

    `wheel_radius`: outer radius (m) of the tyre, around the axle.
    `crown_radius`: radius (m) of the tread across the wheel.

    Raises `PhysicsError` if a radius is not above zero.

    Source: computed. A body with radii R and r pressed into flat ground by δ touches it in
    an ellipse of area 2π δ √(R r); the air carries pressure times that area.
    """
    positive("wheel radius", wheel_radius, "m")
    positive("crown radius", crown_radius, "m")
    return 2.0 * math.pi * math.sqrt(wheel_radius * crown_radius)


def radial_stiffness(
    gauge: float,
    wheel_radius: float,
    crown_radius: float,
    carcass: float = CARCASS_STIFFNESS,
) -> float:
    """Return an estimate of the tyre's radial stiffness (N/m).

    `gauge`: gauge pressure (Pa), zero or more.
    `wheel_radius`: outer radius (m) of the tyre, around the axle.
    `crown_radius`: radius (m) of the tread across the wheel.
    `carcass`: what the carcass adds (N/m).

    Raises `PhysicsError` for negative gauge pressure or carcass stiffness, or a radius not above
    zero.

    Source: k = 2π p √(R r) + carcass; the first term is computed
    (:func:`stiffness_per_pascal`), the carcass is from memory.
    """
    not_negative("tyre gauge pressure", gauge, "Pa")
    not_negative("carcass stiffness", carcass, "N/m")
    return gauge * stiffness_per_pascal(wheel_radius, crown_radius) + carcass


def damping_against_pressure(
    gauge: FloatArray, per_pascal: float, carcass: float = CARCASS_STIFFNESS
) -> FloatArray:
    """Return the tyre's damping at each `gauge` pressure (Pa), as a multiple of that at 86 kPa.

    `per_pascal`: as of :func:`stiffness_per_pascal`.
    `carcass`: what the carcass adds (N/m).

    Source: a loss factor of 0.05 + 0.03 · 86 kPa / p on the stiffness, sized from memory; that
    it falls with pressure: tractor tyres, doi 10.26459/jard.v83i5.3071 (abstract seen).
    """

    def loss(pressure: FloatArray) -> FloatArray:
        held = np.maximum(pressure, 20_000.0)
        lost: FloatArray = (0.05 + 0.03 * 86_000.0 / held) * (held * per_pascal + carcass)
        return lost

    share: FloatArray = loss(gauge) / loss(np.array(86_000.0))
    return share
