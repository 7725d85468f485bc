"""How the causes stand, in words."""

from __future__ import annotations

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.case.events import Answered, Case, Complained, Corrected, Event, Rode, read_answer
from diagnose.words.cause_words import moved_line, nothing_text

DEAD = Complained("no-start")
THREE = (
    Answered("hit-a-stone", "no"),
    Answered("stood-all-winter", "no"),
    Answered("tank-look", "fresh"),
)


@pytest.mark.parametrize(
    ("events", "words"),
    [
        ((DEAD,), "Something else (little told yet)"),
        ((DEAD, *THREE[:2], Answered("tank-look")), "Something else (little told yet)"),
        ((DEAD, *THREE), "Something else altogether"),
        ((DEAD, *THREE, Corrected("fill-up")), "No other listed cause is left"),
        ((DEAD, Corrected("fill-up"), Rode("gone")), ""),
    ],
)
def test_what_the_causes_leave_over_is_named_by_how_much_was_told(
    mower_assessor: Assessor, events: tuple[Event, ...], words: str
) -> None:
    made = mower_assessor.assess(Case(events=events))
    assert nothing_text(made) == words
    assert made.ranking.nothing_listed > 0 or not words


def test_what_was_set_is_no_answer_that_moved_nothing(offroad_assessor: Assessor) -> None:
    rules = offroad_assessor.rules
    found = read_answer(rules, "front-tyre-gauge", "25 psi")
    done = Case(events=(Complained("harsh", "front"), found, Corrected("set-front-tyre-pressure")))
    now = done.with_event(read_answer(rules, "front-tyre-gauge", "12.5 psi"))
    again = now.with_event(read_answer(rules, "front-tyre-gauge", "12.5 psi"))
    lines = [moved_line(rules, case, offroad_assessor.assess(case), ()) for case in (now, again)]
    assert lines[0].endswith("12.5 psi") and "Nothing moved" not in lines[0]
    assert lines[1].startswith("Nothing moved, after: ")
