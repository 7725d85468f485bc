"""Air trapped in a fork leg: its pressure now and the force it adds along the stroke.

The leg is closed when the bleed screw is shut with the wheel off the ground. After that its
air keeps its mass: at full extension its absolute pressure follows its temperature alone, and
what the rider feels is that pressure against the open air of today's altitude.

Source of the law: the ideal gas law. Source of the workshop facts (bleed with the wheel off
the ground, the fork is made to run with no added pressure): owner's-manual practice.
"""

import math
from dataclasses import dataclass

from diagnose.physics.atmosphere import standard_pressure, standard_temperature
from diagnose.physics.errors import PhysicsError, finite, positive, within

__all__ = [
    "POLYTROPIC_EXPONENT",
    "SealedLeg",
    "air_force",
    "axle_air_force",
    "gauge_pressure",
    "gauge_pressure_after_climb",
    "sag_lost",
]

POLYTROPIC_EXPONENT = 1.3
"""Exponent n of p Vⁿ = constant for a stroke on the trail.

1.0 is a stroke slow enough for the air to stay at its temperature, 1.4 one with no heat lost
at all. 1.3 is from memory as a usual middle value for air over oil.
"""


@dataclass(frozen=True, slots=True)
class SealedLeg:
    """One fork leg as an air chamber.

    `bore`: diameter (m) of the sliding section that pumps the air.
    `air_volume`: volume (m³) of air at full extension, set by the oil level.
    `stroke`: full stroke (m) along the leg.

    Raises `PhysicsError` if a size is not above zero, or the stroke would leave no air.
    """

    bore: float
    air_volume: float
    stroke: float

    def __post_init__(self) -> None:
        """Raises `PhysicsError` for impossible values."""
        positive("bore", self.bore, "m")
        positive("air volume", self.air_volume, "m³")
        positive("stroke", self.stroke, "m")
        if self.area * self.stroke >= self.air_volume:
            raise PhysicsError(
                f"a full stroke sweeps {self.area * self.stroke:g} m³, all of the air volume "
                f"{self.air_volume:g} m³; the air volume must be larger than the swept volume"
            )

    @property
    def area(self) -> float:
        """Swept area (m²)."""
        return math.pi / 4.0 * self.bore**2

    @property
    def compression_ratio(self) -> float:
        """Air volume extended over air volume fully compressed."""
        return self.air_volume / (self.air_volume - self.area * self.stroke)


def gauge_pressure(
    bled_pressure: float, bled_temperature: float, air_pressure: float, leg_temperature: float
) -> float:
    """Return the gauge pressure (Pa) in a sealed leg at full extension.

    `bled_pressure`: open-air pressure (Pa, absolute) when the bleed was closed.
    `bled_temperature`: temperature (K) of the leg when the bleed was closed.
    `air_pressure`: open-air pressure (Pa, absolute) now.
    `leg_temperature`: temperature (K) of the air in the leg now.

    A negative result is suction: the leg was closed at a higher altitude or hotter than now.

    Raises `PhysicsError` if a pressure or temperature is not above zero.

    Source: ideal gas law at constant volume and mass, p = p_b T / T_b.
    """
    positive("pressure at the bleed", bled_pressure, "Pa")
    positive("temperature at the bleed", bled_temperature, "K")
    positive("air pressure", air_pressure, "Pa")
    positive("leg temperature", leg_temperature, "K")
    return bled_pressure * leg_temperature / bled_temperature - air_pressure


def gauge_pressure_after_climb(
    bled_altitude: float,
    altitude: float,
    *,
    bled_temperature: float | None = None,
    leg_temperature: float | None = None,
) -> float:
    """Return the gauge pressure (Pa) at full extension after a change of altitude (m).

    Temperatures (K) left out are those of the standard atmosphere at each place. A leg that
    has been worked is warmer than the air: pass `leg_temperature` then.

    Raises `PhysicsError` if an altitude is outside the standard atmosphere, or a temperature is not
    above zero.

    Source: :func:`gauge_pressure` on the standard atmosphere.
    """
    if bled_temperature is None:
        bled_temperature = standard_temperature(bled_altitude)
    if leg_temperature is None:
        leg_temperature = standard_temperature(altitude)
    return gauge_pressure(
        standard_pressure(bled_altitude),
        bled_temperature,
        standard_pressure(altitude),
        leg_temperature,
    )


def _absolute(gauge: float, air_pressure: float) -> float:
    positive("air pressure", air_pressure, "Pa")
    if finite("gauge pressure", gauge, "Pa") <= -air_pressure:
        raise PhysicsError(
            f"gauge pressure is {gauge:g} Pa, below a vacuum; with the air at "
            f"{air_pressure:g} Pa it must be above {-air_pressure:g} Pa"
        )
    return gauge + air_pressure


def air_force(
    leg: SealedLeg,
    gauge: float,
    air_pressure: float,
    travel: float,
    exponent: float = POLYTROPIC_EXPONENT,
) -> float:
    """Return the force (N) of one leg's air along the leg, pushing it out.

    `leg`: the chamber.
    `gauge`: gauge pressure (Pa) at full extension.
    `air_pressure`: open-air pressure (Pa, absolute).
    `travel`: how far the leg is pushed in (m), 0 at full extension.
    `exponent`: polytropic exponent, 1 (slow) to 1.4 (no heat lost).

    Raises `PhysicsError` for gauge pressure below vacuum, travel outside the stroke, or an exponent
    outside 1 to 1.4.

    Source: polytropic law p (V0 - A s)ⁿ = p0 V0ⁿ, force A (p - p_air).
    """
    absolute = _absolute(gauge, air_pressure)
    within("leg travel", travel, 0.0, leg.stroke, "m")
    within("polytropic exponent", exponent, 1.0, 1.4, "(no unit)")
    squeeze = leg.air_volume / (leg.air_volume - leg.area * travel)
    return float(leg.area * (absolute * squeeze**exponent - air_pressure))


def axle_air_force(
    leg: SealedLeg,
    gauge: float,
    air_pressure: float,
    travel: float,
    rake: float,
    *,
    legs: int = 2,
    exponent: float = POLYTROPIC_EXPONENT,
) -> float:
    """Return the vertical force (N) at the axle from the air of `legs` legs.

    `leg`: one leg; all are taken as alike.
    `gauge`: gauge pressure (Pa) at full extension.
    `air_pressure`: open-air pressure (Pa, absolute).
    `travel`: leg travel (m) along the leg.
    `rake`: angle (rad) of the leg from the vertical.
    `legs`: how many legs hold air.
    `exponent`: polytropic exponent.

    Raises `PhysicsError` as :func:`air_force`, and for fewer than one leg or a rake outside 0 to
    60°.

    Source: virtual work: the axle rises cos(rake) per metre of leg travel, so the vertical
    force is the leg force over cos(rake) (computed).
    """
    if legs < 1:
        raise PhysicsError(f"number of legs is {legs}; it must be 1 or more")
    within("rake", rake, 0.0, math.pi / 3.0, "rad")
    return legs * air_force(leg, gauge, air_pressure, travel, exponent) / math.cos(rake)


def sag_lost(leg: SealedLeg, gauge: float, spring_rate: float) -> float:
    """Return how much higher (m, along the leg) the front stands for `gauge` (Pa) in each leg.

    `leg`: one leg.
    `gauge`: gauge pressure (Pa) at full extension, the same in each leg.
    `spring_rate`: rate (N/m) of the spring in each leg.

    Negative where the air pulls the legs in. The rise of pressure over the sag itself is left
    out, so the true figure is a little larger.

    Raises `PhysicsError` if the spring rate is not above zero.

    Source: computed: area times pressure over rate.
    """
    positive("spring rate", spring_rate, "N/m")
    return leg.area * finite("gauge pressure", gauge, "Pa") / spring_rate
