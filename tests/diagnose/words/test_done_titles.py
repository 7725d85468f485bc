"""Services by what was done, not by the clock that counts from them."""

from __future__ import annotations

from diagnose.records.bikes.service import clocks
from diagnose.words.titles import done_title
from rules.rulebase import RuleBase


def test_every_clock_of_the_pack_that_ships_is_named_by_what_was_done(offroad: RuleBase) -> None:
    done = {done_title(offroad, clock) for clock in clocks(offroad)}
    assert {"Fork oil changed", "Shock serviced", "Front tyre renewed"} <= done
    assert all(title.endswith(("ed", "and set")) and title[0].isupper() for title in done)


def test_a_clock_in_other_words_keeps_them(mower: RuleBase) -> None:
    for clock in clocks(mower):
        assert done_title(mower, clock)
