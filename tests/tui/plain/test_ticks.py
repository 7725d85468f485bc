"""Which key stands for which row of the check-in."""

from __future__ import annotations

from diagnose.advice.check_in import CheckIn
from diagnose.case.events import Answered
from rules.units.quantities import parse_quantity
from tui.plain.ticks import Ticks


def page(since: str, shows: str = "") -> CheckIn:
    return CheckIn(tuple(since.split()), tuple(shows.split()), ())


def test_a_row_keeps_its_key_when_more_was_heard() -> None:
    before = Ticks(page("linkage wheel crash", "sand roots"), {})
    before.press("b")
    after = Ticks(page("crash wheel load", "roots sand"), {"crash": Answered("crash", "yes")})
    after.take_over(before)
    assert {name: key for key, name in after.keys.items()} == {
        **{"load": "a", "wheel": "b", "crash": "c"},
        **{name: key for key, name in before.keys.items() if name in ("sand", "roots")},
    }
    assert after.state("wheel") == "yes" and list(after.keys) == list(before.keys)


def test_a_full_page_has_a_key_for_each_row_whatever_it_was_before() -> None:
    before = Ticks(page("one two three four five six seven eight"), {})
    after = Ticks(page("nine eight seven ten five four three two"), {})
    after.take_over(before)
    assert sorted(after.keys) == sorted(before.keys)
    assert set(after.keys.values()) == set(after.page.since)


def test_a_reading_given_before_is_shown_and_counts_only_where_it_is_another() -> None:
    told = Answered("sag", reading=parse_quantity("100 mm", "mm"))
    ticks = Ticks(CheckIn((), (), ("sag",)), {"sag": told})
    assert ticks.reading("sag") == told
    ticks.readings["sag"] = told
    assert not ticks.events
    again = Answered("sag", reading=parse_quantity("105 mm", "mm"))
    ticks.readings["sag"] = again
    assert [*ticks.events] == [again]
    assert ticks.reading("sag") == again
