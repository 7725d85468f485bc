"""What observations are called where there is little room."""

from __future__ import annotations

from diagnose.words.titles import setting_title, short_titles
from rules.rulebase import RuleBase


def test_short_titles_are_no_longer_and_tell_everything_apart(offroad: RuleBase) -> None:
    """Over every observation of the pack that ships."""
    titles = short_titles(offroad, offroad.observations)
    asked = {setting_title(offroad, name) for name in offroad.observations}
    assert len(set(titles.values())) == len(asked)
    assert all(setting_title(offroad, name).startswith(short) for name, short in titles.items())
    assert titles["fork-rebound-clicks"] == "Fork rebound"
    assert titles["air-fork-main-measured"] != titles["air-fork-balance-measured"]


def test_what_the_rule_base_does_not_know_keeps_its_id(mower: RuleBase) -> None:
    """A setting kept under another rule base."""
    assert short_titles(mower, ["fork-rebound-clicks"]) == {
        "fork-rebound-clicks": "fork-rebound-clicks"
    }
