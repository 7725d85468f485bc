"""Sag, springs and preload against printed rules.

One printed rule contradicts the arithmetic. Honda CRF250R (2011/12, p. 132) and CRF450R
owner's manuals (both seen) say a free sag under 10 mm at correct race sag means a spring too
stiff; their next paragraph, and the balance of forces, say too soft. The arithmetic is kept.
"""

import pytest

from diagnose.physics.springs.sag import sag_readings
from diagnose.physics.springs.spring_choice import (
    SagWindow,
    SpringStep,
    advise_spring,
    preload_turns,
    static_sag_at_race_sag,
    wheel_rate,
)

RATIO = 317.0 / 126.0
"""Wheel travel (assumed) over a shock stroke of 126 mm: Yamaha WR450F 2016 p. 2-9 (seen)."""


@pytest.mark.parametrize(
    ("newton_per_millimetre", "millimetre"), [(48, 25.0), (52, 30.8), (56, 35.7), (60, 40.0)]
)
def test_static_sag_rises_with_the_spring_at_one_race_sag(
    newton_per_millimetre: float, millimetre: float
) -> None:
    """Source: computed by hand: 58 kg of rider on the rear, race sag held at 100 mm."""
    rate = wheel_rate(newton_per_millimetre * 1e3, RATIO)
    assert static_sag_at_race_sag(rate, 58.0, 0.100) * 1e3 == pytest.approx(millimetre, abs=0.15)


def test_printed_sag_fits_a_third_of_travel() -> None:
    """100 mm is about a third of travel.

    Source: Honda CR250R 2004 owner's manual p. 52 (seen); travel 307 mm: Yamaha YZ250F 2007
    p. 2-3 (seen).
    """
    sag = sag_readings(0.600, 0.570, 0.500, 0.307)
    assert sag.race_percent == pytest.approx(33.3, abs=1.0)
    assert 5.0 <= sag.static_percent <= 10.0


def test_too_soft_a_spring_shows_as_low_static_sag() -> None:
    """A spring wound down hard stands up under the bike, tops out and side-hops.

    Source: the paragraph on soft springs in Honda CRF250R (2011/12) p. 132 (seen), and its
    static window of 10 to 25 mm.
    """
    window = SagWindow(0.095, 0.105, 0.010, 0.025)
    advice = advise_spring(sag_readings(0.600, 0.595, 0.500, 0.307), window, 58.0)
    assert advice.step is SpringStep.STIFFER


def test_a_turn_is_one_and_a_half_millimetres() -> None:
    """Source: Yamaha YZ125 2004 owner's manual pp. 3-29 to 3-31 (seen)."""
    assert preload_turns(0.006) == pytest.approx(4.0)
