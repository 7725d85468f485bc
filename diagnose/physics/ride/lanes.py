"""Many variants of one end side by side, as arrays the simulation can run at once.

A *lane* is one variant: one coalition of faults with one draw of the unknowns. Physics that
turns a setup into forces is written here once, for one lane or thousands.
"""

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np

from diagnose.physics.arrays import FloatArray
from diagnose.physics.atmosphere import STANDARD_GRAVITY
from diagnose.physics.errors import PhysicsError
from diagnose.physics.ride.axle import Axle, Setup
from diagnose.physics.ride.suspension import Suspension
from diagnose.physics.springs.tyre_pressure import stiffness_per_pascal

__all__ = ["Lanes", "SetupLanes", "UnknownScales", "build_lanes"]


@dataclass(frozen=True, slots=True)
class SetupLanes:
    """:class:`~diagnose.physics.ride.axle.Setup` with one array entry a lane, same units."""

    tyre_pressure: FloatArray
    low_speed_compression: FloatArray
    high_speed_compression: FloatArray
    rebound: FloatArray
    friction: FloatArray
    trapped_pressure: FloatArray
    spring_rate: FloatArray
    spring_preload: FloatArray
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
    `damping`: on every damping slope.
    `step_effect`: on the strength of a click or turn.
    `knee`: on both knee speeds.
    `friction`: on the friction.
    `sprung_mass`: on the sprung mass.
    `unsprung_mass`: on the unsprung mass.
    `air_length`: on the spare length of the air column beyond full travel.
    """

    tyre_stiffness: FloatArray
    damping: FloatArray
    step_effect: FloatArray
    knee: FloatArray
    friction: FloatArray
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
    """Everything the equations of motion need, one array entry a lane, SI at the wheel."""

    sprung_mass: FloatArray
    unsprung_mass: FloatArray
    tyre_stiffness: FloatArray
    tyre_damping: FloatArray
    low_compression: FloatArray
    high_compression: FloatArray
    low_rebound: FloatArray
    high_rebound: FloatArray
    compression_knee: FloatArray
    rebound_knee: FloatArray
    friction: FloatArray
    suspension: Suspension

    @property
    def count(self) -> int:
        """How many lanes there are."""
        return int(self.sprung_mass.size)

    def slice(self, start: int, stop: int) -> "Lanes":
        """Return lanes `start` to `stop` alone."""
        return replace(
            self,
            suspension=replace(self.suspension, **_cut(self.suspension, start, stop)),
            **_cut(self, start, stop),
        )

    def rest_travel(self) -> FloatArray:
        """Return the travel (m) each lane stands at, friction left out.

        Raises `PhysicsError` if a lane would stand beyond its travel.

        Source: :meth:`diagnose.physics.ride.suspension.Suspension.rest`.
        """
        return self.suspension.rest(self.sprung_mass * STANDARD_GRAVITY)


def _cut(record: Lanes | Suspension, start: int, stop: int) -> dict[str, Any]:
    values = {item.name: getattr(record, item.name) for item in fields(record)}
    return {
        name: value[start:stop] for name, value in values.items() if isinstance(value, np.ndarray)
    }


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

    def stepped(slope: float, strength: float, inwards: FloatArray) -> FloatArray:
        result: FloatArray = (
            slope * scales.damping * np.exp(strength * scales.step_effect * inwards)
        )
        return result

    rebound_in = steps.rebound_standard - setups.rebound
    per_pascal = stiffness_per_pascal(axle.wheel_radius, axle.crown_radius)
    tyre = (setups.tyre_pressure * per_pascal + axle.carcass_stiffness) * scales.tyre_stiffness
    if np.any(tyre <= 0.0):
        raise PhysicsError(
            "tyre stiffness is 0 N/m; a tyre without air needs a carcass stiffness above 0 N/m"
        )
    return Lanes(
        sprung_mass=axle.sprung_mass * scales.sprung_mass,
        unsprung_mass=axle.unsprung_mass * scales.unsprung_mass,
        tyre_stiffness=tyre,
        tyre_damping=np.full(count, axle.tyre_damping),
        low_compression=stepped(
            curve.low_compression,
            steps.per_click,
            steps.low_compression_standard - setups.low_speed_compression,
        ),
        high_compression=stepped(
            curve.high_compression,
            steps.per_turn,
            steps.high_compression_standard - setups.high_speed_compression,
        ),
        low_rebound=stepped(curve.low_rebound, steps.per_click, rebound_in),
        high_rebound=stepped(
            curve.high_rebound, steps.per_click * steps.rebound_high_share, rebound_in
        ),
        compression_knee=curve.compression_knee * scales.knee,
        rebound_knee=curve.rebound_knee * scales.knee,
        friction=setups.friction * scales.friction,
        suspension=Suspension(
            spring_rate=setups.spring_rate,
            spring_preload=setups.spring_preload,
            air_absolute=axle.air.area * (setups.trapped_pressure + setups.air_pressure),
            air_outside=axle.air.area * setups.air_pressure,
            air_length=axle.travel + (axle.air.length - axle.travel) * scales.air_length,
            air_exponent=axle.air.exponent,
            bump_start=axle.bump_start,
            bump_stiffness=axle.bump_stiffness,
            top_out_stiffness=axle.top_out_stiffness,
            travel=axle.travel,
            has_air=axle.air.area > 0.0,
        ),
    )
