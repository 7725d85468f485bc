"""A model of how oil and bushings age with hours, and how uncertain it is.

It gives expectations, not verdicts: the rule base decides when a service is overdue.

Source: from memory and common practice throughout. The anchors are that off-road suspension
is serviced every 30 to 50 h, and that coating wear and metal in the oil show from about 35 to
40 h; the shapes of the curves are our own choice between those anchors. How hard the bike is
ridden changes everything, which is why the band is wide.
"""

import math
from dataclasses import dataclass

from diagnose.physics.errors import not_negative

__all__ = [
    "COATING_ONSET",
    "SERVICE_INTERVAL_HIGH",
    "SERVICE_INTERVAL_LOW",
    "Aged",
    "ServiceCondition",
    "condition_at",
]

SERVICE_INTERVAL_LOW = 30.0
"""h between services for hard use. Common practice."""

SERVICE_INTERVAL_HIGH = 50.0
"""h between services for easy use. Common practice."""

COATING_ONSET = 37.5
"""h at which coating wear and metal are as likely as not. From memory (35 to 40 h)."""

_COATING_SPREAD = 6.0
"""h of the logistic curve; puts 25 h near one in ten and 50 h near nine in ten. From memory."""

_DAMPING_LOST = 0.30
"""Share of damping lost in the long run as the oil shears down. From memory."""

_FRICTION_GAINED = 1.0
"""Share of friction added in the long run as bushings and seals wear. From memory."""


@dataclass(frozen=True, slots=True)
class Aged:
    """A middle expectation and the range it probably lies in, as a share of fresh."""

    middle: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class ServiceCondition:
    """What to expect after some hours since the last service.

    `interval_share`: hours over the service interval, as a range from easy to hard use.
    `damping`: damping left, as a share of fresh.
    `friction`: friction now, as a share of fresh.
    `coating_worn`: probability that coating wear or metal shows in the oil.
    """

    interval_share: Aged
    damping: Aged
    friction: Aged
    coating_worn: Aged


def _saturating(hours: float, scale: float) -> float:
    return 1.0 - math.exp(-hours / scale)


def _coating(hours: float) -> float:
    return 1.0 / (1.0 + math.exp(-(hours - COATING_ONSET) / _COATING_SPREAD))


def condition_at(hours: float) -> ServiceCondition:
    """Return what to expect `hours` (h of riding) after a service.

    The low and high ends are the same model with the hours halved and doubled, which spans
    easy and hard use (from memory).

    Raises `PhysicsError` for negative hours.

    Source: see the head of this module.
    """
    not_negative("hours since service", hours, "h")
    middle_interval = (SERVICE_INTERVAL_LOW + SERVICE_INTERVAL_HIGH) / 2.0

    def damping(effective: float) -> float:
        return 1.0 - _DAMPING_LOST * _saturating(effective, middle_interval)

    def friction(effective: float) -> float:
        return 1.0 + _FRICTION_GAINED * _saturating(effective, 2.0 * middle_interval)

    easy, hard = hours / 2.0, hours * 2.0
    return ServiceCondition(
        interval_share=Aged(
            hours / middle_interval, hours / SERVICE_INTERVAL_HIGH, hours / SERVICE_INTERVAL_LOW
        ),
        damping=Aged(damping(hours), damping(hard), damping(easy)),
        friction=Aged(friction(hours), friction(easy), friction(hard)),
        coating_worn=Aged(_coating(hours), _coating(easy), _coating(hard)),
    )
