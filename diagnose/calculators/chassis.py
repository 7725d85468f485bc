"""Rake, trail and wheelbase, and what fork height and sag do to them."""

from __future__ import annotations

import math
from collections.abc import Iterator

from diagnose.calculators.model import RIDE_CAUTION, Calculator, Input, Result, Values
from diagnose.harshness.stand_in import StandInEnd, stand_in
from diagnose.physics.chassis.geometry import (
    Adjustment,
    Geometry,
    adjusted,
    offset_from_trail,
    per_millimetre,
)

_CHANGE = (-80.0, 80.0)


def _bike(values: Values) -> Geometry:
    rake, front = values.si("rake"), values.si("front-radius")
    offset = values.maybe("offset")
    if offset is None:
        offset = offset_from_trail(rake, values.si("trail"), front)
    return Geometry(rake, offset, front, values.si("rear-radius"), values.si("wheelbase"))


def _geometry(values: Values) -> Iterator[Result]:
    before = _bike(values)
    names = ("tubes-raised", "front-sag", "rear-sag")
    change = Adjustment(*(values.si(name) for name in names))
    after = adjusted(before, change)
    yield Result("rake", "Rake", after.rake, "rad", ("°",))
    yield Result("trail", "Trail", after.trail, "m", ("mm", "in"))
    yield Result(
        "normal-trail", "Trail square to the steering axis", after.normal_trail, "m", ("mm",)
    )
    yield Result("wheelbase", "Wheelbase", after.wheelbase, "m", ("mm", "in"))
    yield Result("rake-change", "Rake changes by", after.rake - before.rake, "rad", ("°",))
    yield Result("trail-change", "Trail changes by", after.trail - before.trail, "m", ("mm",))
    for name, unit in zip(names, _UNIT_CHANGES, strict=True):
        each = per_millimetre(before, unit)
        title = f"Trail for each mm of {name.replace('-', ' ')}"
        yield Result(f"trail-per-mm-{name}", title, each.trail, "m", ("mm",))


_UNIT_CHANGES = (
    Adjustment(tubes_raised=1.0),
    Adjustment(front_sag=1.0),
    Adjustment(rear_sag=1.0),
)
_CLASS = "a full-size bike, from memory; the manual's figure goes first"


def _radius(end: StandInEnd) -> str:
    return f"{1000 * end.axle.wheel_radius:g} mm"


def _mm(name: str, title: str, default: str, span: tuple[float, float]) -> Input:
    return Input(name, title, "mm", default, _CLASS, possible=(10, 3000), usual=span)


def _change(name: str, title: str) -> Input:
    return Input(name, title, "mm", "0 mm", "no change", possible=_CHANGE, usual=(-25, 25))


CALCULATORS = (
    Calculator(
        name="geometry",
        title="Rake, trail and wheelbase after moving fork tubes or ride height",
        formula="trail = (R x sin(rake) - offset) / cos(rake), the bike turned until both "
        "tyres touch",
        inputs=(
            _change("tubes-raised", "fork tubes pushed up through the clamps by (front drops)"),
            _change("front-sag", "more sag in front by"),
            _change("rear-sag", "more sag behind by"),
            Input(
                "rake",
                "rake before",
                "deg",
                "27.1 deg",
                "Yamaha Motor Co., YZ250F owner's service manual, 2007, 27.0 to 27.1 degrees",
                possible=(math.degrees(0.18), 44),
                usual=(24, 30),
            ),
            _mm("trail", "trail before, by the manual", "116.5 mm", (80, 135)),
            Input(
                "offset",
                "instead of trail: axle to steering axis, clamp offset and axle lead together",
                "mm",
                optional=True,
                possible=(1, 200),
                usual=(40, 70),
            ),
            _mm(
                "front-radius",
                "outer radius of the front tyre",
                _radius(stand_in().front),
                (250, 380),
            ),
            _mm(
                "rear-radius", "outer radius of the rear tyre", _radius(stand_in().rear), (200, 370)
            ),
            _mm("wheelbase", "wheelbase before", "1485 mm", (1000, 1600)),
        ),
        source="plane geometry of two wheels on flat ground (computed)",
        module="diagnose.physics.chassis.geometry",
        compute=_geometry,
        cautions=(
            "Keep tube height inside the manual's range and check the tyre's clearance at full "
            "stroke.",
            RIDE_CAUTION,
        ),
    ),
)
