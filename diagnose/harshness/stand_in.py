"""The bike that stands in for whatever nobody measured, from `bike.yaml` beside the pack: the
full-size one, or one of another kind with what follows from its masses and travel.

The sources are in that file, beside the numbers.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

from diagnose.harshness.values import VALUES
from diagnose.physics.damping.damping_curve import Adjusters, DampingCurve
from diagnose.physics.ride.axle import AirColumn, Axle, Contact, fork_air_column
from diagnose.physics.springs.trapped_air import SealedLeg
from diagnose.physics.springs.tyre_pressure import CARCASS_STIFFNESS
from rules.loading.pack_defaults import FULL_SIZE
from rules.loading.pack_files import HARSHNESS_MODEL, OFFROAD
from rules.units.quantities import parse_quantity
from rules.yaml_source import read_yaml_file

__all__ = ["StandIn", "StandInEnd", "stand_in"]

_FOLLOWS = (
    "springs and damping in proportion, from the full-size one; good for which fault leads, "
    "not for how many percent"
)


@dataclass(frozen=True, slots=True)
class StandInEnd:
    """One end: its hardware, and its spring (N/m) and preload (N) at the wheel."""

    axle: Axle
    spring_rate: float
    spring_preload: float


@dataclass(frozen=True, slots=True)
class StandIn:
    """The whole bike.

    `short`: what it is, in a few words.
    `title`: what it is and how its numbers are known, for people.
    `rake`: rad.
    `fork_leg`: one leg of the fork.
    `front`: with the air of both legs.
    `rear`: without trapped air.
    """

    short: str
    title: str
    rake: float
    fork_leg: SealedLeg
    front: StandInEnd
    rear: StandInEnd


@cache
def stand_in(kind: str = FULL_SIZE) -> StandIn:
    """The stand-in for a kind of bike, full-size where the kind has none of its own.

    Raises `FileProblems` where its file cannot be read.
    """
    data = read_yaml_file(OFFROAD / HARSHNESS_MODEL / "bike.yaml").data
    rake, leg = math.radians(data["rake"]), SealedLeg(**_floats(data["fork_leg"]))
    slope = math.cos(rake)
    spring = parse_quantity(VALUES["fork-spring"].standard).to("N/m").value
    fork = {
        "travel": leg.stroke * slope,
        "spring_rate": 2.0 * spring / slope**2,
        "lean": rake,
    }
    front, rear, short, title = (
        {**data["front"], **fork},
        data["rear"],
        data["short"],
        data["title"],
    )
    other = data["kinds"].get(kind)
    if other is not None:
        share = float(other["travel"])
        leg = replace(leg, stroke=leg.stroke * share, air_volume=leg.air_volume * share)
        front, rear = (
            _scaled(end, other[name], share) for name, end in (("front", front), ("rear", rear))
        )
        short = other["short"]
        title = f"a stand-in of a {short}: its masses, wheels and travel from memory; {_FOLLOWS}"
    return StandIn(
        short=short,
        title=title,
        rake=rake,
        fork_leg=leg,
        front=_end(front, fork_air_column(leg, rake)),
        rear=_end(rear, AirColumn(area=0.0, length=1.0)),
    )


def _scaled(end: Mapping[str, Any], other: Mapping[str, Any], travel: float) -> dict[str, Any]:
    """An end with the masses of another kind and `travel` as a share: it stands in the same share
    of its travel, and is damped as strongly for its mass."""
    mass = other["sprung_mass"] / end["sprung_mass"]
    by = {
        "travel": travel, "bump_start": travel, "bump_stiffness": mass,
        "spring_rate": mass / travel, "spring_preload": mass,
    }  # fmt: skip
    force = mass / math.sqrt(travel)
    # a bleed passes the root of the force
    flow = {name: force**-0.5 if name.endswith("bleed") else force for name in end["damping"]}
    damping = {name: size * flow[name] for name, size in end["damping"].items()}
    return {**end, **{name: end[name] * share for name, share in by.items()}, "damping": damping,
            **other}  # fmt: skip


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
