"""A count that shows the opposite of what is felt is made once more before anything is set by it."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from diagnose.advice.assessor import Assessment, Assessor
from diagnose.advice.reasons import CountedAgain
from diagnose.advice.sheet import sheet
from diagnose.case.events import (
    Answered,
    BadFact,
    Case,
    Corrected,
    read_answer,
    read_target,
)
from diagnose.words.cause_words import causes_in_order
from diagnose.words.check_in_words import counted_title
from diagnose.words.step_words import step_text, why_text
from rules.rulebase import RuleBase

MakeCase = Callable[..., Case]

CLICKS = "fork-compression-clicks"
FELT_HARD, FELT_SOFT = "harsh/front", "diving"


def counted(
    rules: RuleBase, assessor: Assessor, make_case: MakeCase, complaint: str, *counts: str
) -> Assessment:
    case = make_case(rules, complaint, machine={"class": "full-size", "fork": "coil-closed"})
    case = Case(case.machine, dict([read_target(rules, "fork-compression", "12")]), case.events)
    for count in counts:
        case = case.with_event(read_answer(rules, CLICKS, count))
    return assessor.assess(case)


def test_a_count_against_what_is_felt_is_made_once_more(
    offroad: RuleBase, offroad_assessor: Assessor, make_case: MakeCase
) -> None:
    """Two clicks out, counted from fully open, read as twenty-two."""
    once = counted(offroad, offroad_assessor, make_case, FELT_HARD, "22")
    assert (once.step.kind, once.step.target) == ("measure", CLICKS)
    assert once.step.why == CountedAgain(CLICKS, "fork-compression-open", "fork-compression-closed")
    assert "out from fully closed" in why_text(offroad, once.step)
    assert not [row for row in sheet(offroad_assessor, once).rows if row.is_work]
    assert not once.faults
    shown = step_text(offroad, once.belief.case, once.step, ())
    assert "count once more, out from fully closed" in shown.note
    right = counted(offroad, offroad_assessor, make_case, FELT_HARD, "22", "2")
    assert right.step.target == "set-fork-compression"
    assert [fault.cause for fault in right.faults] == ["fork-compression-closed"]


def test_what_was_off_to_one_side_was_not_put_right_to_the_other(
    offroad: RuleBase, offroad_assessor: Assessor, make_case: MakeCase
) -> None:
    found = counted(offroad, offroad_assessor, make_case, FELT_HARD, "2")
    done = found.belief.case.with_event(Corrected("set-fork-compression"))
    made = offroad_assessor.assess(done)
    put_right = [item.cause for item in causes_in_order(made) if item.corrected]
    assert put_right == ["fork-compression-closed"]


def test_a_count_made_twice_stands_until_it_is_set(
    offroad: RuleBase, offroad_assessor: Assessor, make_case: MakeCase
) -> None:
    twice = counted(offroad, offroad_assessor, make_case, FELT_HARD, "22", "22")
    assert twice.step.target == "set-fork-compression"
    case = twice.belief.case.with_event(Corrected("set-fork-compression"))
    again = offroad_assessor.assess(case.with_event(read_answer(offroad, CLICKS, "12")))
    while again.step.kind == "measure":  # what is due before any ride
        assert again.step.target != CLICKS
        again = offroad_assessor.assess(again.belief.case.with_event(Answered(again.step.target)))
    assert again.step.kind == "confirm"


def test_a_count_that_fits_what_is_felt_is_believed_at_once(
    offroad: RuleBase, offroad_assessor: Assessor, make_case: MakeCase
) -> None:
    for complaint, count in ((FELT_SOFT, "22"), (FELT_HARD, "2")):
        made = counted(offroad, offroad_assessor, make_case, complaint, count)
        assert made.step.target == "set-fork-compression"


def test_the_page_says_from_which_end_to_count(offroad: RuleBase) -> None:
    title = counted_title(offroad, CLICKS, "Fork compression")
    assert title == "Fork compression, clicks out from fully closed"
    assert counted_title(offroad, CLICKS, title) == title
    assert counted_title(offroad, "front-tyre-gauge", "Front tyre") == "Front tyre"


def test_a_count_out_of_a_whole_is_asked_for_as_one_number(offroad: RuleBase) -> None:
    with pytest.raises(BadFact, match="one number of clicks, out from fully closed"):
        read_answer(offroad, CLICKS, "22 of 24")
