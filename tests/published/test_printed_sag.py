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
)


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
