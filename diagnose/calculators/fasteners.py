"""Clamp torque, and the friction of fork legs that are out of line."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.calculators.model import (
    RIDE_CAUTION,
    TORQUE_CAUTION,
    Calculator,
    Input,
    Result,
    Values,
)
from diagnose.physics.chassis.fastener import (
    NUT_FACTOR_DRY,
    NUT_FACTOR_GREASED,
    NUT_FACTOR_OILED,
    clamp_load_ratio,
    friction_from_axle_misfit,
    friction_from_unequal_height,
    preload,
)
from rules.loading.pack_defaults import pack_defaults

_NUT_FACTORS = {
    "dry": NUT_FACTOR_DRY,
    "oiled": NUT_FACTOR_OILED,
    "greased": NUT_FACTOR_GREASED,
}
_TORQUE = (0.5, 400.0)


def _clamp(values: Values) -> Iterator[Result]:
    torque, factor = values.si("torque"), _NUT_FACTORS[values.word("threads")]
    load = preload(torque, values.si("thread"), factor)
    yield Result(
        "preload", "Clamp load of each bolt", load.middle, "N", ("N", "kgf"), load.low, load.high
    )
    yield Result("share", "Of what the specification means", 100.0 * _ratio(values), "%", ("%",))


def _ratio(values: Values) -> float:
    factor = _NUT_FACTORS[values.word("threads")]
    return clamp_load_ratio(values.si("torque"), values.si("spec"), factor)


def _clamp_words(values: Values) -> Iterator[str]:
    ratio = _ratio(values)
    if ratio > 1.15:
        yield (
            "Tighter than specified: a clamp like this can pinch the fork tube and make the stroke "
            "sticky. Loosen both bolts and bring them up in turns."
        )
    elif ratio < 0.85:
        yield "Looser than specified: the tube can slip or turn in the clamp. Do not ride it so."
    else:
        yield "About as specified."


def _legs(values: Values) -> Iterator[Result]:
    for name, title, band in (
        ("axle", "Friction in each leg from the axle",
         friction_from_axle_misfit(values.si("axle-misfit"))),
        ("height", "Friction in each leg from unequal height",
         friction_from_unequal_height(values.si("height-difference"))),
    ):  # fmt: skip
        yield Result(name, title, band.middle, "N", ("N",), band.low, band.high)


CALCULATORS = (
    Calculator(
        name="clamp",
        title="Clamp load of a bolt from its torque, against the specification",
        formula="F = T / (K x d), K = 0.20 dry, 0.15 oiled, 0.12 greased",
        inputs=(
            Input("torque", "torque used", "N·m", possible=_TORQUE, usual=(5, 130)),
            Input(
                "spec",
                "torque specified, threads clean and dry",
                "N·m",
                pack_defaults()["upper-clamp-torque"],
                "an example for upper fork clamps, common practice; the manual's figure goes first",
                possible=_TORQUE,
                usual=(5, 130),
            ),
            Input(
                "thread",
                "thread diameter",
                "mm",
                "8 mm",
                "M8 is usual in fork clamps, from memory",
                possible=(3, 36),
                usual=(5, 24),
            ),
            Input(
                "threads",
                "state of the threads",
                None,
                "dry",
                "what torque figures are for",
                words=tuple(_NUT_FACTORS),
            ),
        ),
        source="F = T / (K d) with K and 30 % scatter of common practice",
        module="diagnose.physics.chassis.fastener",
        compute=_clamp,
        say=_clamp_words,
        cautions=(TORQUE_CAUTION, RIDE_CAUTION),
    ),
    Calculator(
        name="fork-alignment",
        title="Friction from an axle that pulls the legs, or legs at unequal height",
        formula="side force = 3 E I x misfit / L^3 on two bushings, times their friction",
        inputs=(
            Input(
                "axle-misfit",
                "how far the axle pulls a leg's foot sideways",
                "mm",
                "0 mm",
                "true",
                possible=(0, 20),
                usual=(0, 4),
            ),
            Input(
                "height-difference",
                "one tube higher than the other by",
                "mm",
                "0 mm",
                "equal",
                possible=(0, 50),
                usual=(0, 6),
            ),
        ),
        source="computed from sizes from memory: an order of magnitude, a factor of three "
        "either way",
        module="diagnose.physics.chassis.fastener",
        compute=_legs,
        cautions=(TORQUE_CAUTION, RIDE_CAUTION),
    ),
)
