"""The ageing anchors against printed service advice.

The advice is of the trade, each source for its own bikes; the check is that the model's
interval and wear onset lie among them, not that any one is right.
"""

import pytest

from diagnose.physics.damping.service_age import (
    COATING_ONSET,
    SERVICE_INTERVAL_HIGH,
    SERVICE_INTERVAL_LOW,
    condition_at,
)

ADVISED_HOURS = {
    # "Service Schedule", Kontrol Suspension (seen)
    "motocross": 30.0,
    "trail": 50.0,
    # "Wrench Tip Wednesday: Don't Forget the Fork Fluid", Bone Cutter Off Road (seen)
    "fork fluid, racers": 35.0,
    "fork fluid, casual": 50.0,
    # "Dirt Bike Forks", dirt-bike-secrets.com (seen)
    "oil and bushes": 50.0,
}


@pytest.mark.parametrize("hours", list(ADVISED_HOURS.values()), ids=list(ADVISED_HOURS))
def test_printed_intervals_lie_in_the_models_range(hours: float) -> None:
    """From 30 to 50 h."""
    assert SERVICE_INTERVAL_LOW <= hours <= SERVICE_INTERVAL_HIGH


def test_hours_alone_do_not_decide() -> None:
    """At 15 h one rider's fork was worn out and another's was as new; the band must allow both.

    Source: "Bones Bacon on suspension: when to service your fork & shock", Motocross Action
    (seen).
    """
    worn = condition_at(15.0).coating_worn
    assert worn.low < 0.05
    assert worn.high > 0.2
    assert condition_at(COATING_ONSET).coating_worn.middle == pytest.approx(0.5)
