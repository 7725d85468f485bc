"""Which way to change a spring, its rate at the wheel, and preload."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.calculators.model import SPRING_CAUTION, Calculator, Input, Result, Values
from diagnose.calculators.sag_calculators import EXTENDED, LADEN, TRAVEL, UNLADEN, readings
from diagnose.harshness.values import VALUES
from diagnose.physics.springs.spring_choice import (
    SagWindow,
    advise_spring,
    preload_change_for_sag,
    preload_from_static_sag,
    preload_turns,
    static_sag_at_race_sag,
    wheel_rate,
    wheel_rate_from_rider,
)

_SAG = (0.0, 250.0)
_RATIO = Input(
    "ratio",
    "wheel movement over spring movement",
    "",
    "2.52",
    "a full-size rear, computed from printed travel and stroke",
    possible=(0.3, 6),
    usual=(0.8, 3.5),
)
_RIDER = Input(
    "rider-load",
    "part of the kitted rider's mass on this end",
    "kg",
    "58 kg",
    "rear share of an 80 kg rider, from memory",
    possible=(1, 300),
    usual=(25, 110),
)


def _window(values: Values) -> SagWindow:
    return SagWindow(
        values.si("race-low"),
        values.si("race-high"),
        values.si("static-low"),
        values.si("static-high"),
    )


def _spring(values: Values) -> Iterator[Result]:
    sag, ratio = readings(values), values.si("ratio")
    rate = wheel_rate_from_rider(values.si("rider-load"), sag)
    yield Result("wheel-rate", "Rate at the wheel, by the rider's weight", rate, "N/m", ("N/mm",))
    yield Result(
        "spring-rate", "That is a spring of", rate * ratio**2, "N/m", ("N/mm", "kgf/mm", "lbf/in")
    )
    advice = advise_spring(sag, _window(values), values.si("rider-load"))
    change = advice.rate_change * ratio**2
    yield Result("spring-change", "Spring to change by", change, "N/m", ("N/mm", "kgf/mm"))


def _spring_words(values: Values) -> Iterator[str]:
    advice = advise_spring(readings(values), _window(values), values.si("rider-load"))
    yield f"{advice.step.value.capitalize()}: {advice.reason}."


def _at_wheel(values: Values) -> Iterator[Result]:
    rate = wheel_rate(values.si("springs") * values.si("spring-rate"), values.si("ratio"))
    yield Result("wheel-rate", "Rate at the wheel", rate, "N/m", ("N/mm", "lbf/in"))
    static = static_sag_at_race_sag(rate, values.si("rider-load"), values.si("race-sag"))
    yield Result("static", "Static sag it leaves at that race sag", static, "m", ("mm", "in"))


def _preload(values: Values) -> Iterator[Result]:
    change = values.si("wanted") - values.si("sag")
    moved = preload_change_for_sag(change, values.si("ratio"))
    yield Result("preload-change", "Preload to change by (more is +)", moved, "m", ("mm",))
    turns = preload_turns(moved, values.si("per-turn"))
    yield Result("turns", "Turns of the ring (tighter is +)", turns, "turns", ("turns",))
    if values.has("static-sag"):
        now = preload_from_static_sag(
            values.si("bike-load"),
            values.si("static-sag"),
            values.si("spring-rate"),
            values.si("ratio"),
        )
        yield Result("preload-now", "Preload on the spring now", now, "m", ("mm",))


def _sag_input(name: str, title: str, default: str, source: str) -> Input:
    return Input(name, title, "mm", default, source, possible=_SAG, usual=(0, 140))


_PRINTED = "100 mm: Honda Motor Co., CR250R owner's manual, 2004, p. 52; the manual goes first"
CALCULATORS = (
    Calculator(
        name="spring",
        title="Whether the spring suits the rider, from sag",
        formula="k = rider load x g / (race sag - static sag);  low static sag at right race "
        "sag = too soft",
        inputs=(
            EXTENDED,
            UNLADEN,
            LADEN,
            TRAVEL,
            _RIDER,
            _RATIO,
            _sag_input("race-low", "least race sag by the manual", "95 mm", _PRINTED),
            _sag_input("race-high", "most race sag by the manual", "105 mm", _PRINTED),
            _sag_input(
                "static-low", "least static sag by the manual", "25 mm", "trade press, 25 to 35 mm"
            ),
            _sag_input("static-high", "most static sag by the manual", "40 mm", "from memory"),
        ),
        source="computed from the balance of a linear spring",
        module="diagnose.physics.springs.spring_choice",
        compute=_spring,
        say=_spring_words,
        cautions=(SPRING_CAUTION,),
    ),
    Calculator(
        name="wheel-rate",
        title="Rate of a spring at the wheel, and the static sag it leaves at a race sag",
        formula="k_wheel = springs x k / ratio^2;  static = race - rider load x g / k_wheel",
        inputs=(
            Input("spring-rate", "rate of one spring", "N/mm", possible=(1, 300), usual=(3, 90)),
            Input(
                "springs",
                "how many springs share the load",
                "",
                "1",
                "a shock has one, a fork two",
                possible=(1, 4),
                usual=(1, 2),
            ),
            _RATIO,
            _RIDER,
            _sag_input(
                "race-sag", "race sag held with preload", VALUES["rear-sag"].standard, _PRINTED
            ),
        ),
        source="virtual work and the balance of a linear spring (computed)",
        module="diagnose.physics.springs.spring_choice",
        compute=_at_wheel,
        say=lambda _: ("At the same race sag a stiffer spring leaves more static sag, not less.",),
    ),
    Calculator(
        name="preload",
        title="Preload to turn for a wanted sag, and what is on the spring now",
        formula="change = (sag - wanted) / ratio;  turns = change / per-turn",
        inputs=(
            Input("sag", "race sag now", "mm", possible=_SAG, usual=(40, 150)),
            Input(
                "wanted",
                "race sag wanted",
                "mm",
                VALUES["rear-sag"].standard,
                _PRINTED,
                possible=_SAG,
                usual=(40, 120),
            ),
            _RATIO,
            Input(
                "per-turn",
                "spring movement a turn",
                "mm",
                "1.5 mm",
                "Yamaha Motor Co., YZ125 owner's service manual, 2004; the thread decides",
                possible=(0.2, 5),
                usual=(0.8, 2.5),
            ),
            Input(
                "static-sag",
                "static sag now, to work out the preload there is",
                "mm",
                optional=True,
                possible=_SAG,
                usual=(5, 60),
            ),
            Input(
                "bike-load",
                "mass this end carries without rider and wheel",
                "kg",
                "52 kg",
                "from memory for a full-size rear",
                possible=(5, 300),
                usual=(30, 90),
            ),
            Input(
                "spring-rate",
                "rate of the spring",
                "N/mm",
                VALUES["shock-spring"].standard,
                "Yamaha Motor Co., WR450F owner's manual, 2016, p. 2-9",
                possible=(1, 300),
                usual=(38, 80),
            ),
        ),
        source="computed from the balance of a linear spring; the thread of the ring decides",
        module="diagnose.physics.springs.spring_choice",
        compute=_preload,
        cautions=(SPRING_CAUTION,),
    ),
)
