"""What is said and offered when answers move nothing."""

from __future__ import annotations

from diagnose.advice.planning import Step
from diagnose.advice.reasons import BestGuess, NothingPays, SettlesMost
from diagnose.advice.standstill import Standstill
from diagnose.words.standstill_words import guess_text, settling_text, standstill_text
from rules.rulebase import RuleBase

SEEN = Step("inspect", "spark-seen", SettlesMost("plug-worn", 0.31), 8)


def test_it_counts_what_moved_nothing_and_what_is_left() -> None:
    text = standstill_text(Standstill(3, None, None, 1))
    assert text == "3 answers moved nothing that changes what to do. The sheet has 1 check left."


def test_the_guess_names_work_minutes_cause_and_chance(mower: RuleBase) -> None:
    guess = Step("correct", "new-plug", BestGuess("plug-worn", 0.31), 5)
    assert guess_text(mower, guess) == "Best guess, 5 min: fit a new plug; 31 % plug worn"


def test_handing_over_is_said_as_such(mower: RuleBase) -> None:
    text = guess_text(mower, Step("hand-over", "", NothingPays("plug-worn", 0.1, 0.8), 120))
    assert text == "Best guess: hand it over; no check left is likely to pay for its minutes"


def test_the_check_that_settles_most_is_named_unless_it_is_asked_already(mower: RuleBase) -> None:
    other = Step("inspect", "tank-look", None, 1)
    said = settling_text(mower, SEEN, other)
    assert said == "Settles most, 8 min: Does the plug spark; 31 % plug worn"
    assert settling_text(mower, SEEN, SEEN) == "Settles most: what is asked here; 31 % plug worn"
