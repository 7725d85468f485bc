"""Luggage: where it sits comes before preload, and a deep sag does not speak for the spring."""

from __future__ import annotations

from rules.rulebase import RuleBase


def test_nobody_lifts_a_loaded_bike_by_its_rack(offroad: RuleBase) -> None:
    told = " ".join(offroad.observations["load-place"].how)
    assert "lift the rear" not in told
    assert "nothing by the rack" in told


def test_a_hand_wheel_is_turned_without_a_spanner(offroad: RuleBase) -> None:
    work = offroad.corrections["set-rear-sag"]
    steps = " ".join(work.steps)
    assert steps.index("hand wheel") < steps.index("lock ring with the proper spanner")
    assert any("unless it has a hand wheel" in tool for tool in work.tools)
