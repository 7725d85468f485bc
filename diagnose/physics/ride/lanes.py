"""Many variants of one end side by side, as arrays the simulation can run at once.

A *lane* is one variant: one coalition of faults with one draw of the unknowns. Physics that
turns a setup into forces is written here once, for one lane or thousands.
"""

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np

from diagnose.physics.arrays import FloatArray, IntArray
from diagnose.physics.atmosphere import STANDARD_GRAVITY
from diagnose.physics.errors import PhysicsError
from diagnose.physics.ride.axle import Axle, Setup
from diagnose.physics.ride.suspension import Suspension
from diagnose.physics.springs.tyre_pressure import damping_against_pressure, stiffness_per_pascal

__all__ = ["Lanes", "SetupLanes", "UnknownScales", "build_lanes"]


@dataclass(frozen=True, slots=True)
class SetupLanes:
    """:class:`~diagnose.physics.ride.axle.Setup` with one array entry a lane, same units."""

    tyre_pressure: FloatArray
    low_speed_compression: FloatArray
    high_speed_compression: FloatArray
    rebound: FloatArray
    friction: FloatArray
    clamp_friction: FloatArray
    trapped_pressure: FloatArray
    spring_rate: FloatArray
    spring_preload: FloatArray
    oil_raised: FloatArray
    air_pressure: FloatArray

    @staticmethod
    def of(setups: Sequence[Setup]) -> "SetupLanes":
        """Return the setups as lanes, in order.

        Raises `PhysicsError` without a setup.
        """
        if not setups:
            raise PhysicsError("0 setups given; one or more are needed")
        return SetupLanes(
            **{f.name: np.array([float(getattr(s, f.name)) for s in setups]) for f in fields(Setup)}
        )


@dataclass(frozen=True, slots=True)
class UnknownScales:
    """Factors on what nobody measured, one entry a lane; 1 leaves the axle as given.

    `tyre_stiffness`: on the whole tyre stiffness.
    `damping`: on the whole damping force.
    `step_effect`: on the strength of a click or turn.
    `opening`: on the force at which the shims open.
    `friction`: on the friction that was found.
    `clamp_friction`: on that of clamps that are too tight.
    `sprung_mass`: on the sprung mass.
    `unsprung_mass`: on the unsprung mass.
    `air_length`: on the spare length of the air column beyond full travel.
    """

    tyre_stiffness: FloatArray
    damping: FloatArray
    step_effect: FloatArray
    opening: FloatArray
    friction: FloatArray
    clamp_friction: FloatArray
    sprung_mass: FloatArray
    unsprung_mass: FloatArray
    air_length: FloatArray

    @staticmethod
    def ones(count: int) -> "UnknownScales":
        """Return scales that change nothing, for `count` lanes."""
        return UnknownScales(**{f.name: np.ones(count) for f in fields(UnknownScales)})

    @property
    def count(self) -> int:
        """How many lanes there are."""
        return int(self.damping.size)

    def tiled(self, times: int) -> "UnknownScales":
        """Return these scales `times` over, one repeat after the other."""
        return UnknownScales(
            **{f.name: np.tile(getattr(self, f.name), times) for f in fields(self)}
        )


@dataclass(frozen=True, slots=True)
class Lanes:
    """Everything the equations of motion need, one array entry a lane, SI at the wheel.

    `tyre_air`, `tyre_carcass`: stiffness (N/m) that the air and the carcass give the tyre.
    `seal_grip`: friction (N) per newton of the air's own force.
    Bleed, opening force and slope are those of
    :class:`diagnose.physics.damping.damping_curve.DampingCurve`; the rest is as in
    :class:`diagnose.physics.ride.axle.Axle`.
    """

    sprung_mass: FloatArray
    unsprung_mass: FloatArray
    rider_mass: FloatArray
    tyre_air: FloatArray
    tyre_carcass: FloatArray
    tyre_damping: FloatArray
    compression_bleed: FloatArray
    compression_opens: FloatArray
    compression_slope: FloatArray
    rebound_bleed: FloatArray
    rebound_opens: FloatArray
    rebound_slope: FloatArray
    friction: FloatArray
    seal_grip: FloatArray
    suspension: Suspension
    wheel_radius: float
    lean: float
    bush_grip: float
    load_share: float

    @property
    def tyre_stiffness(self) -> FloatArray:
        """Stiffness (N/m) of the tyre on flat ground."""
        stiffness: FloatArray = self.tyre_air + self.tyre_carcass
        return stiffness

    @property
    def count(self) -> int:
        """How many lanes there are."""
        return int(self.sprung_mass.size)

    def take(self, which: IntArray) -> "Lanes":
        """Return the lanes numbered `which`, in that order."""
        return replace(
            self, suspension=replace(self.suspension, **_cut(self.suspension, which)),
            **_cut(self, which),
        )  # fmt: skip

    def rest_travel(self, load: FloatArray | float = 1.0) -> FloatArray:
        """Return the travel (m) each lane stands at, friction left out.

        `load`: sprung weight carried, as a multiple of that at a standstill.

        Raises `PhysicsError` if a lane would stand beyond its travel.

        Source: :meth:`diagnose.physics.ride.suspension.Suspension.rest`.
        """
        return self.suspension.rest(self.sprung_mass * STANDARD_GRAVITY * load)


def _cut(record: Lanes | Suspension, which: IntArray) -> dict[str, Any]:
    values = {item.name: getattr(record, item.name) for item in fields(record)}
    return {name: value[which] for name, value in values.items() if isinstance(value, np.ndarray)}


def build_lanes(axle: Axle, setups: SetupLanes, scales: UnknownScales) -> Lanes:
    """Return the equations' parameters for an axle in many setups and draws of the unknowns.

    Raises `PhysicsError` if the two have different numbers of lanes, or a tyre has no stiffness.

    Source: tyre stiffness as :func:`diagnose.physics.springs.tyre_pressure.radial_stiffness`,
    adjusters as :class:`diagnose.physics.damping.damping_curve.Adjusters` (computed).
    """
    count = setups.tyre_pressure.size
    if scales.count != count:
        raise PhysicsError(f"{count} setups but {scales.count} draws; one each is needed")
    steps, curve = axle.adjusters, axle.damping

    def bleed(size: float, out: FloatArray, standard: float) -> FloatArray:
        # the force grows by the scale where all of it is bleed: F goes with 1 / b²
        left = steps.shut_share + (1.0 - steps.shut_share) * out / max(standard, 1.0)
        result: FloatArray = size * left**scales.step_effect / np.sqrt(scales.damping)
        return result

    per_pascal = stiffness_per_pascal(axle.wheel_radius, axle.crown_radius)
    tyre_air = setups.tyre_pressure * per_pascal * scales.tyre_stiffness
    carcass = axle.carcass_stiffness * scales.tyre_stiffness
    if np.any(tyre_air + carcass <= 0.0):
        raise PhysicsError(
            "tyre stiffness is 0 N/m; a tyre without air needs a carcass stiffness above 0 N/m"
        )
    turns_in = steps.high_compression_standard - setups.high_speed_compression
    firmer = scales.damping * scales.opening
    air = axle.air
    return Lanes(
        sprung_mass=axle.sprung_mass * scales.sprung_mass,
        unsprung_mass=axle.unsprung_mass * scales.unsprung_mass,
        rider_mass=axle.rider_mass * scales.sprung_mass,
        tyre_air=tyre_air,
        tyre_carcass=carcass,
        tyre_damping=axle.tyre_damping
        * damping_against_pressure(setups.tyre_pressure, per_pascal, axle.carcass_stiffness),
        compression_bleed=bleed(
            curve.compression_bleed, setups.low_speed_compression, steps.low_compression_standard
        ),
        compression_opens=curve.compression_opens
        * firmer
        * np.exp(steps.per_turn * scales.step_effect * turns_in),
        compression_slope=curve.compression_slope * scales.damping,
        rebound_bleed=bleed(curve.rebound_bleed, setups.rebound, steps.rebound_standard),
        rebound_opens=curve.rebound_opens * firmer,
        rebound_slope=curve.rebound_slope * scales.damping,
        friction=setups.friction * scales.friction + setups.clamp_friction * scales.clamp_friction,
        seal_grip=np.full(count, axle.seal_grip / air.area if air.area > 0.0 else 0.0),
        suspension=Suspension(
            spring_rate=setups.spring_rate,
            spring_preload=setups.spring_preload,
            air_absolute=air.area * (setups.trapped_pressure + setups.air_pressure),
            air_outside=air.area * setups.air_pressure,
            air_length=np.maximum(
                axle.travel + (air.length - axle.travel) * scales.air_length - setups.oil_raised,
                axle.travel + 0.002,
            ),
            air_exponent=air.exponent,
            bump_start=axle.bump_start,
            bump_stiffness=axle.bump_stiffness,
            top_out_stiffness=axle.top_out_stiffness,
            travel=axle.travel,
            has_air=air.area > 0.0,
        ),
        wheel_radius=axle.wheel_radius,
        lean=axle.lean,
        bush_grip=axle.bush_grip,
        load_share=axle.load_share,
    )
