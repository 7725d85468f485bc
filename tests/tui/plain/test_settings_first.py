"""Readings in the order that a workshop looks for them."""

from __future__ import annotations

from diagnose.words.titles import short_titles
from rules.rulebase import RuleBase
from tui.plain.settings_first import settings_first, settings_of


def test_clickers_come_first_then_pressures_then_sag_then_what_is_not_set(
    offroad: RuleBase,
) -> None:
    readings = [n for n, entry in offroad.observations.items() if entry.kind == "measurement"]
    order = settings_first(offroad, reversed(readings))
    at = order.index
    assert at("fork-rebound-clicks") < at("front-tyre-gauge") < at("rear-race-sag-measured")
    assert at("rear-race-sag-measured") < at("front-disc-runout") < len(readings)
    assert sorted(order) == sorted(readings)


def test_every_setting_has_a_short_name_of_its_own(offroad: RuleBase) -> None:
    titles = short_titles(offroad, settings_of(offroad))
    assert len(set(titles.values())) == len(titles) > 8
