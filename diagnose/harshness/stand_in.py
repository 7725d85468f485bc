"""The full-size bike that stands in for whatever nobody measured, from `bike.yaml` beside the pack.

The sources are in that file, beside the numbers.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from diagnose.harshness.values import VALUES
from diagnose.physics.damping.damping_curve import Adjusters, DampingCurve
from diagnose.physics.ride.axle import AirColumn, Axle, Contact, fork_air_column
from diagnose.physics.springs.trapped_air import SealedLeg
from diagnose.physics.springs.tyre_pressure import CARCASS_STIFFNESS
from rules.loading.pack_files import HARSHNESS_MODEL, OFFROAD
from rules.units.quantities import parse_quantity
from rules.yaml_source import read_yaml_file

__all__ = ["StandIn", "StandInEnd", "stand_in"]


@dataclass(frozen=True, slots=True)
class StandInEnd:
    """One end: its hardware, and its spring (N/m) and preload (N) at the wheel."""

    axle: Axle
    spring_rate: float
    spring_preload: float


@dataclass(frozen=True, slots=True)
class StandIn:
    """The whole bike.

    `title`: what it is and how its numbers are known, for people.
    `rake`: rad.
    `fork_leg`: one leg of the fork.
    `front`: with the air of both legs.
    `rear`: without trapped air.
    """

    title: str
    rake: float
    fork_leg: SealedLeg
    front: StandInEnd
    rear: StandInEnd


@cache
def stand_in() -> StandIn:
    """The stand-in bike. Raises `FileProblems` where its file cannot be read."""
    data = read_yaml_file(OFFROAD / HARSHNESS_MODEL / "bike.yaml").data
    rake, leg = math.radians(data["rake"]), SealedLeg(**_floats(data["fork_leg"]))
    slope = math.cos(rake)
    spring = parse_quantity(VALUES["fork-spring"].standard).to("N/m").value
    fork = {
        "travel": leg.stroke * slope,
        "spring_rate": 2.0 * spring / slope**2,
        "lean": rake,
    }
    return StandIn(
        title=data["title"],
        rake=rake,
        fork_leg=leg,
        front=_end({**data["front"], **fork}, fork_air_column(leg, rake)),
        rear=_end(data["rear"], AirColumn(area=0.0, length=1.0)),
    )


def _end(data: Mapping[str, Any], air: AirColumn) -> StandInEnd:
    parts = {"contact", "damping", "spring_rate", "spring_preload"}
    axle = Axle(
        contact=Contact(data["contact"]),
        damping=DampingCurve(**_floats(data["damping"])),
        adjusters=Adjusters(),
        air=air,
        carcass_stiffness=CARCASS_STIFFNESS,
        **_floats({name: size for name, size in data.items() if name not in parts}),
    )
    return StandInEnd(axle, float(data["spring_rate"]), float(data["spring_preload"]))


def _floats(data: Mapping[str, Any]) -> dict[str, float]:
    """The numbers as floats: numpy would round what is put into an array of whole numbers."""
    return {name: float(size) for name, size in data.items()}
