"""Sag from a tape measure, and the friction that blurs it."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.calculators.model import RIDE_CAUTION, Calculator, Input, Result, Values
from diagnose.harshness.stand_in import stand_in
from diagnose.physics.springs.sag import SagReadings, averaged_sag, friction_band, sag_readings

_LENGTH = (50.0, 1500.0)
TRAVEL = Input(
    "travel",
    "full wheel travel of that end",
    "mm",
    "305 mm",
    "300 and 307 mm in Yamaha Motor Co., YZ250F owner's service manual, 2007, p. 2-3",
    possible=(50, 450),
    usual=(150, 330),
)
EXTENDED = Input(
    "extended", "length with the wheel hanging free", "mm", possible=_LENGTH, usual=(300, 900)
)
UNLADEN = Input(
    "unladen",
    "length with the bike standing, nobody on it",
    "mm",
    possible=_LENGTH,
    usual=(250, 900),
)
LADEN = Input(
    "laden",
    "length with the kitted rider in riding position",
    "mm",
    possible=_LENGTH,
    usual=(200, 850),
)
WHEEL_RATE = Input(
    "wheel-rate",
    "spring rate at the wheel",
    "N/mm",
    f"{stand_in().front.spring_rate / 1000:.3g} N/mm",
    "a full-size front, computed from printed fork springs; about 8.9 at the rear",
    possible=(1, 60),
    usual=(5, 20),
)


def readings(values: Values) -> SagReadings:
    """Sag from the inputs `EXTENDED`, `UNLADEN`, `LADEN` and `TRAVEL`. Raises `PhysicsError`."""
    return sag_readings(
        values.si("extended"), values.si("unladen"), values.si("laden"), values.si("travel")
    )


def _sag(values: Values) -> Iterator[Result]:
    sag = readings(values)
    yield Result("race", "Race sag, rider on", sag.race, "m", ("mm", "in"))
    yield Result("race-percent", "Race sag in percent of travel", sag.race_percent, "%", ("%",))
    yield Result("static", "Static sag, bike alone", sag.static, "m", ("mm", "in"))
    yield Result(
        "static-percent", "Static sag in percent of travel", sag.static_percent, "%", ("%",)
    )


def _friction(values: Values) -> Iterator[Result]:
    sag = averaged_sag(
        values.si("extended"), values.si("pushed"), values.si("lifted"), values.si("travel")
    )
    yield Result("sag", "Sag, freed of friction", sag.sag, "m", ("mm", "in"))
    yield Result("gap", "Gap between the rest points", sag.band, "m", ("mm",))
    force = friction_band(sag.band, values.si("wheel-rate")).force
    yield Result("force", "Friction at the wheel, either way", force, "N", ("N", "kgf"))


CALCULATORS = (
    Calculator(
        name="sag",
        title="Race and static sag from three lengths",
        formula="static = extended - unladen;  race = extended - laden",
        inputs=(
            EXTENDED,
            UNLADEN,
            LADEN,
            TRAVEL,
        ),
        source="definition; 100 mm at the rear, about a third of travel: Honda Motor Co., CR250R "
        "owner's manual, 2004, p. 52",
        module="diagnose.physics.springs.sag",
        compute=_sag,
    ),
    Calculator(
        name="friction",
        title="Friction of an end from a reading after a push down and one after a lift",
        formula="sag = extended - (pushed + lifted) / 2;  gap = lifted - pushed;  F = k x gap / 2",
        inputs=(
            EXTENDED,
            Input(
                "pushed",
                "length after pushing down and letting it rise",
                "mm",
                possible=_LENGTH,
                usual=(200, 900),
            ),
            Input(
                "lifted",
                "length after lifting and letting it settle",
                "mm",
                possible=_LENGTH,
                usual=(200, 900),
            ),
            WHEEL_RATE,
            TRAVEL,
        ),
        source="averaged sag is trade practice; friction computed from the balance of a spring",
        module="diagnose.physics.springs.sag",
        compute=_friction,
        say=lambda _: (
            "A fork gap of 10 to 25 mm is usual (P. Thede and L. Parks, motorcycle suspension "
            "handbook, as quoted elsewhere).",
        ),
        cautions=(RIDE_CAUTION,),
    ),
)
