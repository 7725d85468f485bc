"""Damping from a bounce, what clicks do to the damping force, and natural frequencies."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.calculators.model import Calculator, Input, Result, Values
from diagnose.calculators.sag_calculators import WHEEL_RATE
from diagnose.harshness.stand_in import stand_in
from diagnose.physics.damping.decrement import (
    DampingReading,
    friction_loss_per_swing,
    from_heights,
    from_swing_count,
)
from diagnose.physics.damping.two_mass import TwoMass, damping_for_ratio, natural_frequencies
from diagnose.physics.errors import PhysicsError

_FRONT = stand_in().front.axle


def _reading(values: Values) -> DampingReading:
    peaks = values.every("peak")
    if bool(peaks) == values.has("swings"):
        raise PhysicsError("give peak two or more times, or swings once, not both")
    return from_heights(peaks) if peaks else from_swing_count(values.si("swings"))


def _bounce(values: Values) -> Iterator[Result]:
    found = _reading(values)
    yield Result("ratio", "Damping ratio, at most", found.ratio, "", ("",), found.low, found.high)
    loss = friction_loss_per_swing(values.si("friction"), values.si("wheel-rate"))
    yield Result("friction-loss", "Height friction alone takes a swing", loss, "m", ("mm",))


def _bounce_words(values: Values) -> Iterator[str]:
    ratio = _reading(values).ratio
    yield "Friction makes a bounce die sooner than the oil does, so the damper itself has less."
    if ratio < 0.15:
        yield "It goes on bouncing: little damping is left, or rebound is far out."


def _clicks(values: Values) -> Iterator[Result]:
    steps, curve = _FRONT.adjusters, _FRONT.damping
    out = {
        "low": steps.low_compression_standard - values.si("compression-in"),
        "high": steps.high_compression_standard - values.si("high-speed-in"),
        "rebound": steps.rebound_standard - values.si("rebound-in"),
    }
    turned = steps.apply(curve, out["low"], out["high"], out["rebound"])
    for name, speed in (("slow", 0.2), ("fast", 2.0)):
        for way, sign in (("compression", 1.0), ("rebound", -1.0)):
            before, after = abs(curve.force(sign * speed)), abs(turned.force(sign * speed))
            title = f"{way.capitalize()} force at {speed:g} m/s, {name}: change"
            yield Result(f"{way}-{name}", title, 100.0 * (after / before - 1.0), "%", ("%",))


def _frequencies(values: Values) -> Iterator[Result]:
    model = TwoMass(
        values.si("sprung"),
        values.si("unsprung"),
        values.si("wheel-rate"),
        0.0,
        values.si("tyre-stiffness"),
    )
    body, hop = natural_frequencies(model)
    yield Result("body", "Body bounces at, Hz", body, "", ("",))
    yield Result("wheel-hop", "Wheel hops at, Hz", hop, "", ("",))
    damping = damping_for_ratio(values.si("ratio"), model.sprung_mass, model.spring_rate)
    yield Result("damping", "Damping for that ratio, N s/m at the wheel", damping, "", ("",))


CALCULATORS = (
    Calculator(
        name="bounce",
        title="Damping ratio from a bounce test",
        formula="d = ln(x1 / x2) a swing;  ratio = d / sqrt(4 pi^2 + d^2)",
        inputs=(
            Input(
                "peak",
                "height of a peak above rest, one option a peak, in order",
                "mm",
                optional=True,
                many=True,
                possible=(0.1, 400),
                usual=(1, 150),
            ),
            Input(
                "swings",
                "instead of peaks: whole swings counted before it stands still",
                "",
                optional=True,
                possible=(0.1, 100),
                usual=(0.5, 6),
            ),
            Input(
                "friction",
                "friction at the wheel",
                "N",
                "60 N",
                "a full-size front, computed from a 10 mm gap",
                possible=(0, 2000),
                usual=(10, 250),
            ),
            WHEEL_RATE,
        ),
        source="logarithmic decrement, in every vibration text; a swing is seen down to a "
        "tenth, from memory",
        module="diagnose.physics.damping.decrement",
        compute=_bounce,
        say=_bounce_words,
    ),
    Calculator(
        name="clicks",
        title="What clicks do to the damping force, slow and fast",
        formula="slope x e^(0.05 a click), e^(0.30 a turn); slow below the knee, fast above it",
        inputs=tuple(
            Input(name, title, unit, f"0 {unit}", "no change", possible=(-60, 60), usual=(-15, 15))
            for name, title, unit in (
                ("compression-in", "compression, clicks in (out is -)", "clicks"),
                ("high-speed-in", "high-speed compression, turns in (out is -)", "turns"),
                ("rebound-in", "rebound, clicks in (out is -)", "clicks"),
            )
        ),
        source="our own model of a digressive damper; strength of a click from memory (0.03 to "
        "0.08)",
        module="diagnose.physics.damping.damping_curve",
        compute=_clicks,
        say=lambda _: ("Slow and fast are speeds of the shaft, not of the bike.",),
        cautions=("Turn adjusters gently; never force one past its stop.",),
    ),
    Calculator(
        name="frequencies",
        title="How fast the body bounces and the wheel hops",
        formula="roots of Ms Mu w^4 - (Ms (k + kt) + Mu k) w^2 + k kt = 0;  c = 2 ratio sqrt(k Ms)",
        inputs=(
            Input(
                "sprung",
                "mass above the suspension at this end, rider included",
                "kg",
                f"{_FRONT.sprung_mass:g} kg",
                "a full-size front, computed from printed masses",
                possible=(5, 500),
                usual=(40, 160),
            ),
            Input(
                "unsprung",
                "mass of wheel and moving parts",
                "kg",
                f"{_FRONT.unsprung_mass:g} kg",
                "from memory",
                possible=(1, 100),
                usual=(8, 30),
            ),
            WHEEL_RATE,
            Input(
                "tyre-stiffness",
                "radial stiffness of the tyre",
                "N/mm",
                "86 N/mm",
                "computed for 12.5 psi; see tyre-stiffness",
                possible=(1, 500),
                usual=(40, 200),
            ),
            Input(
                "ratio",
                "damping ratio to work damping out for",
                "",
                "0.4",
                "from memory, 0.4 to 0.7",
                possible=(0, 5),
                usual=(0.1, 1),
            ),
        ),
        source="two-mass equations (computed from Newton's law)",
        module="diagnose.physics.damping.two_mass",
        compute=_frequencies,
    ),
)
