"""One end of the bike as the quarter-car sees it: hardware, and how it is set.

:class:`Axle` is what stays with the bike; :class:`Setup` is what a technician measures and
changes. Everything is expressed at the wheel, vertically.
"""

import math
from dataclasses import dataclass, fields
from enum import StrEnum

from diagnose.physics.atmosphere import SEA_LEVEL_PRESSURE, STANDARD_GRAVITY
from diagnose.physics.damping.damping_curve import Adjusters, DampingCurve
from diagnose.physics.errors import PhysicsError, finite, not_negative, positive, within
from diagnose.physics.springs.trapped_air import POLYTROPIC_EXPONENT, SealedLeg

__all__ = ["AirColumn", "Axle", "Contact", "Setup", "fork_air_column"]


class Contact(StrEnum):
    """Where the rider feels this end, which picks the frequency weighting."""

    HANDS = "hands"
    BODY = "body"


@dataclass(frozen=True, slots=True)
class AirColumn:
    """The air of both legs, seen at the wheel.

    `area`: force (N) at the wheel per Pa; zero where no air is trapped.
    `length`: wheel travel (m) that would squeeze the air to nothing.
    `exponent`: polytropic exponent of a stroke.

    Raises `PhysicsError` for negative area, length not above zero, exponent outside 1 to 1.4.
    """

    area: float
    length: float
    exponent: float = POLYTROPIC_EXPONENT

    def __post_init__(self) -> None:
        """Raises `PhysicsError` for impossible values."""
        not_negative("air area", self.area, "m²")
        positive("air column length", self.length, "m")
        within("polytropic exponent", self.exponent, 1.0, 1.4, "(no unit)")


def fork_air_column(leg: SealedLeg, rake: float, legs: int = 2) -> AirColumn:
    """Return the air of `legs` fork legs at `rake` (rad), seen vertically at the wheel.

    Raises `PhysicsError` for fewer than one leg, or a rake outside 0 to 60°.

    Source: virtual work, as :func:`diagnose.physics.springs.trapped_air.axle_air_force` (computed).
    """
    if legs < 1:
        raise PhysicsError(f"number of legs is {legs}; it must be 1 or more")
    within("rake", rake, 0.0, math.pi / 3.0, "rad")
    slope = math.cos(rake)
    return AirColumn(area=legs * leg.area / slope, length=leg.air_volume / leg.area * slope)


@dataclass(frozen=True, slots=True)
class Axle:
    """The hardware of one end.

    `contact`: where the rider feels this end.
    `sprung_mass`: mass (kg) above the suspension at this end, rider included.
    `unsprung_mass`: mass (kg) of wheel, tyre, brake and moving leg parts.
    `wheel_radius`: outer radius (m) of the tyre.
    `crown_radius`: radius (m) of the tread across the wheel.
    `carcass_stiffness`: radial stiffness (N/m) of the tyre without air.
    `tyre_damping`: of the tyre (N s/m) at 86 kPa; it grows less with pressure than the stiffness.
    `travel`: full wheel travel (m).
    `damping`: curve at the standard adjuster positions.
    `adjusters`: standard positions and strength of the adjusters.
    `air`: trapped air seen at the wheel.
    `bump_start`: travel (m) at which the bump stop is met.
    `bump_stiffness`: growth of the bump stop's force (N/m²): force is this times the
        square of the distance into it.
    `top_out_stiffness`: of the top-out spring (N/m).
    `rider_mass`: the rider's part (kg) of the sprung mass, carried on bent legs and arms.
    `lean`: angle (rad) of the suspension from upright: the rake of a fork, 0 where a swingarm
        guides the wheel.
    `bush_grip`: friction (N) per newton across the bushes.
    `seal_grip`: friction (N) that each Pa of gauge pressure inside adds at all seals together.
    `load_share`: how much of the front's shifted load this end takes: 1 in front, below 0 behind.

    Raises `PhysicsError` for a size out of range, or a bump stop beyond the travel.
    """

    contact: Contact
    sprung_mass: float
    unsprung_mass: float
    wheel_radius: float
    crown_radius: float
    carcass_stiffness: float
    tyre_damping: float
    travel: float
    damping: DampingCurve
    adjusters: Adjusters
    air: AirColumn
    bump_start: float
    bump_stiffness: float
    top_out_stiffness: float = 150_000.0
    rider_mass: float = 0.0
    lean: float = 0.0
    bush_grip: float = 0.0
    seal_grip: float = 0.0
    load_share: float = 1.0

    def __post_init__(self) -> None:
        """Raises `PhysicsError` for impossible values."""
        positive("sprung mass", self.sprung_mass, "kg")
        positive("unsprung mass", self.unsprung_mass, "kg")
        positive("wheel radius", self.wheel_radius, "m")
        positive("crown radius", self.crown_radius, "m")
        not_negative("carcass stiffness", self.carcass_stiffness, "N/m")
        not_negative("tyre damping", self.tyre_damping, "N s/m")
        positive("travel", self.travel, "m")
        not_negative("bump stop stiffness", self.bump_stiffness, "N/m²")
        positive("top-out stiffness", self.top_out_stiffness, "N/m")
        not_negative("bush grip", self.bush_grip, "(no unit)")
        not_negative("seal grip", self.seal_grip, "N/Pa")
        within("lean", self.lean, 0.0, math.pi / 3.0, "rad")
        if not 0.0 <= self.rider_mass < self.sprung_mass:
            raise PhysicsError(
                f"rider mass is {self.rider_mass:g} kg; it must be from 0 to below the sprung mass "
                f"of {self.sprung_mass:g} kg"
            )
        within("bump stop start", self.bump_start, 0.0, self.travel, "m")
        if self.air.area > 0.0 and self.air.length <= self.travel:
            raise PhysicsError(
                f"air column is {self.air.length:g} m long for {self.travel:g} m of travel; "
                "it must be longer than the travel"
            )

    @property
    def sprung_weight(self) -> float:
        """Weight (N) the suspension carries at rest."""
        return self.sprung_mass * STANDARD_GRAVITY


@dataclass(frozen=True, slots=True)
class Setup:
    """How one end is set, as measured or as it should be.

    `tyre_pressure`: gauge pressure (Pa) as ridden.
    `low_speed_compression`: clicks out from closed.
    `high_speed_compression`: turns out from closed.
    `rebound`: clicks out from closed.
    `friction`: dry friction (N) at the wheel, either way, standing and bled.
    `trapped_pressure`: gauge pressure (Pa) of the trapped air at full extension.
    `spring_rate`: rate (N/m) at the wheel.
    `spring_preload`: force (N) at the wheel of the spring at full extension.
    `clamp_friction`: friction (N) that clamps tighter than they should be add to it.
    `oil_raised`: how much (m) too high the oil stands, measured along the wheel's travel.
    `air_pressure`: open-air pressure (Pa, absolute) where the bike is ridden.

    Raises `PhysicsError` for a value out of range, or a gauge pressure below vacuum.
    """

    tyre_pressure: float
    low_speed_compression: float
    high_speed_compression: float
    rebound: float
    friction: float
    trapped_pressure: float
    spring_rate: float
    spring_preload: float
    clamp_friction: float = 0.0
    oil_raised: float = 0.0
    air_pressure: float = SEA_LEVEL_PRESSURE

    def __post_init__(self) -> None:
        """Raises `PhysicsError` for impossible values."""
        for field in fields(self):
            finite(field.name.replace("_", " "), getattr(self, field.name), "SI")
        not_negative("tyre pressure", self.tyre_pressure, "Pa")
        not_negative("low-speed compression", self.low_speed_compression, "clicks out")
        not_negative("high-speed compression", self.high_speed_compression, "turns out")
        not_negative("rebound", self.rebound, "clicks out")
        not_negative("friction", self.friction, "N")
        not_negative("clamp friction", self.clamp_friction, "N")
        positive("spring rate", self.spring_rate, "N/m")
        not_negative("spring preload", self.spring_preload, "N")
        positive("air pressure", self.air_pressure, "Pa")
        if self.trapped_pressure <= -self.air_pressure:
            raise PhysicsError(
                f"trapped pressure is {self.trapped_pressure:g} Pa gauge, below a vacuum; "
                f"it must be above {-self.air_pressure:g} Pa"
            )
