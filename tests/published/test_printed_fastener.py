"""Bolt preload against a printed chart."""

import pytest

from diagnose.physics.chassis.fastener import preload

POUND_FOOT, POUND, INCH = 1.355818, 4.448222, 0.0254


@pytest.mark.parametrize(("pound_foot", "k"), [(30.0, 0.20), (23.0, 0.15)])
def test_chart_value_for_a_three_eighths_screw(pound_foot: float, k: float) -> None:
    """4,940 lbf for 3/8-16 grade 5 at 30 lbf·ft dry and at 23 lbf·ft oiled, to 3 %.

    The chart rounds its torques. Source: "What Does the Nut Factor, K, Really Encompass?",
    Mobile Tech Engineering, 2020 (seen).
    """
    load = preload(pound_foot * POUND_FOOT, 0.375 * INCH, k)
    assert load.middle / POUND == pytest.approx(4_940.0, rel=0.03)
