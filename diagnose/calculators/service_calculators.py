"""What to expect of oil and bushings after some hours."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.calculators.model import AIR_CAUTION, Calculator, Input, Result, Values
from diagnose.physics.damping.service_age import Aged, condition_at

_HOUR = 3600.0


def _figure(name: str, title: str, aged: Aged) -> Result:
    low, high = sorted((100.0 * aged.low, 100.0 * aged.high))
    return Result(name, title, 100.0 * aged.middle, "%", ("%",), low, high)


def _service(values: Values) -> Iterator[Result]:
    found = condition_at(values.si("hours") / _HOUR)
    yield _figure("interval", "Of the service interval", found.interval_share)
    yield _figure("damping", "Damping left", found.damping)
    yield _figure("friction", "Friction against fresh", found.friction)
    yield _figure("coating", "Chance of coating wear or metal in the oil", found.coating_worn)


CALCULATORS = (
    Calculator(
        name="service-age",
        title="Oil and bushings after hours of riding since the last service",
        formula="damping = 1 - 0.30 (1 - e^(-h/40));  friction = 1 + (1 - e^(-h/80));  ranges: "
        "h/2 to 2h",
        inputs=(
            Input(
                "hours",
                "hours ridden since the last service",
                "h",
                possible=(0, 5000),
                usual=(0, 200),
            ),
        ),
        source="common practice: service every 30 to 50 h, metal from 35 to 40 h; curves from "
        "memory",
        module="diagnose.physics.damping.service_age",
        compute=_service,
        say=lambda _: ("An expectation, not a verdict: how it was ridden moves everything.",),
        cautions=(AIR_CAUTION,),
    ),
)
