"""Air forks: each kind is spoken to in its own words and by its own figures."""

from __future__ import annotations

from diagnose.case.events import Case
from diagnose.case.figures import figure_of
from diagnose.words.figure_words import figure_text
from rules.rulebase import RuleBase


def test_a_loss_over_night_is_said_to_be_read_tomorrow(offroad: RuleBase) -> None:
    entry = offroad.observations["air-fork-overnight-loss"]
    assert "read tomorrow; two readings of 5 minutes" in entry.ask
    assert entry.minutes == 2 * 5


def test_firmer_on_the_mountain_is_asked_plainly(offroad: RuleBase) -> None:
    ask = offroad.observations["fork-firmer-at-altitude"].ask
    assert "still cold, up at" not in ask
    assert "higher up, than it is at home" in ask


def test_a_usual_range_is_said_in_shop_words(offroad: RuleBase) -> None:
    figure = figure_of(offroad, Case({"class": "full-size"}), "front-tyre-pressure")
    assert "such bikes run 8 to 19.5 psi" in figure_text(figure)
