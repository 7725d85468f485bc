"""The stand-in bike is a bike."""

import pytest

from diagnose.harshness.stand_in import stand_in
from diagnose.physics.ride.axle import Contact
from diagnose.physics.ride.lanes import SetupLanes, UnknownScales, build_lanes
from tests.reference_setup import reference_bike, reference_setup


@pytest.mark.parametrize(("end", "low", "high"), [("front", 0.045, 0.060), ("rear", 0.095, 0.105)])
def test_it_stands_at_the_sag_it_states(end: str, low: float, high: float) -> None:
    """About 50 mm front and 100 mm rear."""
    axle, setup = getattr(reference_bike(), end), getattr(reference_setup(), end)
    lanes = build_lanes(axle, SetupLanes.of([setup]), UnknownScales.ones(1))
    assert low < lanes.rest_travel()[0] < high


def test_hands_in_front_body_behind() -> None:
    """Each end is felt where it is felt."""
    assert reference_bike().front.contact is Contact.HANDS
    assert reference_bike().rear.contact is Contact.BODY


def test_friction_is_a_ten_millimetre_band() -> None:
    """As the docstring works it out."""
    for setup in (reference_setup().front, reference_setup().rear):
        assert 2.0 * setup.friction / setup.spring_rate == pytest.approx(0.010, rel=0.05)


def test_fork_leg_has_the_compression_ratio_it_states() -> None:
    """Four."""
    assert stand_in().fork_leg.compression_ratio == pytest.approx(4.0, rel=0.01)
