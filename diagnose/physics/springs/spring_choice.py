"""Which way to change a spring, by how much, and preload.

What is easily mistaken: with race sag held at its target by preload, a stiffer spring stands
*deeper* under the bike alone. The rider's weight adds less sag, so the static sag must be the
larger part. So at correct race sag, low static sag means the
spring is too soft (it was wound down hard), and high static sag means it is too stiff. Some
manual text reads the other way round; the arithmetic here and the rest of the same manuals
agree with each other.

Source: computed from the balance of a linear spring; sag windows and step sizes are the
caller's, or common practice where a default says so.
"""

from dataclasses import dataclass
from enum import StrEnum

from diagnose.physics.atmosphere import STANDARD_GRAVITY
from diagnose.physics.errors import PhysicsError, finite, not_negative, positive
from diagnose.physics.springs.sag import SagReadings

__all__ = [
    "SPRING_STEP",
    "SagWindow",
    "SpringAdvice",
    "SpringStep",
    "advise_spring",
    "preload_change_for_sag",
    "preload_from_static_sag",
    "preload_turns",
    "static_sag_at_race_sag",
    "wheel_rate",
    "wheel_rate_from_rider",
]

SPRING_STEP = 2_000.0
"""N/m between neighbouring shock springs as sold (0.2 kgf/mm). From memory."""


def wheel_rate(spring_rate: float, motion_ratio: float) -> float:
    """Return the rate at the wheel (N/m) of a spring behind a linkage.

    `spring_rate`: rate (N/m) of the spring itself.
    `motion_ratio`: wheel movement over spring movement, above 0: about 2.5 at the rear of a
        full-size bike (computed from printed travel and stroke), cos(rake) for a fork,
        whose two springs add up first.

    Raises `PhysicsError` for rate or ratio not above zero.

    Source: virtual work, k_wheel = k / ratio² (computed; the change of ratio over the
    stroke is left out).
    """
    positive("spring rate", spring_rate, "N/m")
    positive("motion ratio", motion_ratio, "(no unit)")
    return spring_rate / motion_ratio**2


def wheel_rate_from_rider(rider_load: float, sag: SagReadings) -> float:
    """Return the rate at the wheel (N/m) that two sag readings imply.

    `rider_load`: the part of the rider's mass (kg) carried by this end.
    `sag`: the readings.

    Raises `PhysicsError` if the load is not above zero, or race and static sag are equal.

    Source: computed: the rider's weight over the sag it added.
    """
    positive("rider load", rider_load, "kg")
    added = sag.race - sag.static
    if added <= 0.0:
        raise PhysicsError(
            f"race sag {sag.race:g} m does not exceed static sag {sag.static:g} m; "
            "the rider must add sag before a rate can be worked out"
        )
    return rider_load * STANDARD_GRAVITY / added


def static_sag_at_race_sag(rate: float, rider_load: float, race_sag: float) -> float:
    """Return the static sag (m) left when preload holds race sag at `race_sag`.

    `rate`: rate at the wheel (N/m).
    `rider_load`: rider's mass (kg) carried by this end.
    `race_sag`: race sag (m) set with the preload.

    A negative result means the bike alone tops the end out with force to spare.

    Raises `PhysicsError` for rate, load or race sag not above zero.

    Source: computed: race sag less the sag the rider adds.
    """
    positive("wheel rate", rate, "N/m")
    positive("rider load", rider_load, "kg")
    positive("race sag", race_sag, "m")
    return race_sag - rider_load * STANDARD_GRAVITY / rate


@dataclass(frozen=True, slots=True)
class SagWindow:
    """The range of sag a specification asks for.

    `race_low`: least race sag (m).
    `race_high`: greatest race sag (m).
    `static_low`: least static sag (m) once race sag is right.
    `static_high`: greatest static sag (m) once race sag is right.

    Raises `PhysicsError` if a value is negative, or a low end is above its high end.
    """

    race_low: float
    race_high: float
    static_low: float
    static_high: float

    def __post_init__(self) -> None:
        """Raises `PhysicsError` for impossible values."""
        for name, low, high in (
            ("race sag", self.race_low, self.race_high),
            ("static sag", self.static_low, self.static_high),
        ):
            not_negative(f"least {name}", low, "m")
            not_negative(f"greatest {name}", high, "m")
            if low > high:
                raise PhysicsError(f"{name} window runs from {low:g} m down to {high:g} m")


class SpringStep(StrEnum):
    """What to do about the spring."""

    KEEP = "keep"
    SET_RACE_SAG_FIRST = "set race sag first"
    STIFFER = "stiffer"
    SOFTER = "softer"


@dataclass(frozen=True, slots=True)
class SpringAdvice:
    """The step to consider, and why.

    `step`: the direction.
    `reason`: one sentence for the job card.
    `rate_change`: wanted change of rate at the wheel (N/m), positive for stiffer; zero
        unless `step` is stiffer or softer.
    """

    step: SpringStep
    reason: str
    rate_change: float


def _mm(length: float) -> str:
    return f"{1000.0 * length:.0f} mm"


def advise_spring(sag: SagReadings, window: SagWindow, rider_load: float) -> SpringAdvice:
    """Return which way to go with the spring, and why.

    Static sag says something about the spring only while race sag is in its window, so race
    sag is asked for first. Friction in the end hides small differences: use averaged sag.

    `sag`: averaged readings.
    `window`: what the specification asks for.
    `rider_load`: rider's mass (kg) carried by this end, to size the step.

    Raises `PhysicsError` if the load is not above zero, or race sag does not exceed static sag.

    Source: computed (see the head of this module); the windows are the caller's.
    """
    rate = wheel_rate_from_rider(rider_load, sag)
    if not window.race_low <= sag.race <= window.race_high:
        return SpringAdvice(
            SpringStep.SET_RACE_SAG_FIRST,
            f"race sag is {_mm(sag.race)}, outside {_mm(window.race_low)} to "
            f"{_mm(window.race_high)}: set it with preload, then read static sag again",
            0.0,
        )
    if window.static_low <= sag.static <= window.static_high:
        return SpringAdvice(
            SpringStep.KEEP,
            f"static sag is {_mm(sag.static)} at correct race sag, within the window",
            0.0,
        )
    # Aiming at the near edge of the window asks for the smallest spring change that helps.
    low = sag.static < window.static_low
    aim = window.static_low if low else window.static_high
    if aim >= sag.race:
        raise PhysicsError(
            f"static sag window ends at {aim:g} m, not below the race sag {sag.race:g} m; "
            "the rider must add sag"
        )
    change = rider_load * STANDARD_GRAVITY / (sag.race - aim) - rate
    if low:
        reason = (
            f"static sag is only {_mm(sag.static)} at correct race sag: the spring is too soft "
            "and has been wound down hard to hold the rider up"
        )
        return SpringAdvice(SpringStep.STIFFER, reason, change)
    reason = (
        f"static sag is {_mm(sag.static)} at correct race sag: the spring is too stiff and "
        "carries hardly any preload"
    )
    return SpringAdvice(SpringStep.SOFTER, reason, change)


def preload_from_static_sag(
    bike_load: float, static_sag: float, spring_rate: float, motion_ratio: float
) -> float:
    """Return how far the spring is compressed (m) at full extension.

    `bike_load`: mass (kg) the end carries without rider, wheel and other unsprung parts
        left out.
    `static_sag`: static sag (m) at the wheel.
    `spring_rate`: rate (N/m) of the spring itself.
    `motion_ratio`: wheel movement over spring movement.

    Negative means the spring is loose at full extension.

    Raises `PhysicsError` for load, rate or ratio not above zero, or negative sag.

    Source: computed from the balance of a linear spring.
    """
    positive("bike load", bike_load, "kg")
    not_negative("static sag", static_sag, "m")
    rate = wheel_rate(spring_rate, motion_ratio)
    return (bike_load * STANDARD_GRAVITY / rate - static_sag) / motion_ratio


def preload_change_for_sag(sag_change: float, motion_ratio: float) -> float:
    """Return the change of spring preload (m) that changes sag by `sag_change` (m).

    Positive `sag_change` is more sag, which takes preload off (a negative result).

    Raises `PhysicsError` if the ratio is not above zero.

    Source: computed: the spring's seat moves the wheel by the motion ratio.
    """
    return -sag_change / positive("motion ratio", motion_ratio, "(no unit)")


def preload_turns(preload_change: float, per_turn: float = 0.0015) -> float:
    """Return the turns of the adjuster for a `preload_change` (m).

    The default of 1.5 mm a turn is a printed owner's-manual value for one family of bikes;
    the manual of the bike comes first.

    Raises `PhysicsError` if `per_turn` is not above zero, or the change is not a number.

    Source: owner's manual (cited beside the check).
    """
    positive("preload per turn", per_turn, "m")
    return finite("preload change", preload_change, "m") / per_turn
