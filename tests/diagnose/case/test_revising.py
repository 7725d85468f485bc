"""Changing what was said, what a fact moved, and writing a case down."""

from __future__ import annotations

from typing import Any

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.case.events import (
    Answered,
    Case,
    Complained,
    Corrected,
    Declined,
    Insisted,
    Noted,
    Rode,
    read_answer,
    read_target,
)
from diagnose.case.files import case_from_bytes
from diagnose.case.revising import latest_answer, with_event_at, without_event_at
from diagnose.case.writing import case_yaml
from diagnose.inference.shifts import shifts
from rules.rulebase import RuleBase


def case_of(*events: Any) -> Case:
    """A case with these events."""
    return Case({}, {}, events)


def test_a_changed_event_stands_where_the_old_one_stood() -> None:
    """Everything before and after it stands."""
    case = case_of(Complained("no-start"), Answered("spark-seen"), Noted("a"))
    changed = with_event_at(case, 1, Answered("spark-seen", state="none"))
    assert changed.events == (case.events[0], Answered("spark-seen", state="none"), Noted("a"))
    assert without_event_at(case, 1).events == (case.events[0], Noted("a"))


@pytest.mark.parametrize("index", [-1, 1])
def test_an_event_that_is_not_there_is_refused(index: int) -> None:
    """No counting from the end by accident."""
    with pytest.raises(IndexError, match="1 events"):
        with_event_at(case_of(Noted("a")), index, Noted("b"))
    with pytest.raises(IndexError, match="1 events"):
        without_event_at(case_of(Noted("a")), index)


def test_the_latest_answer_is_found() -> None:
    """Of two answers to one observation the later; none for one not answered."""
    case = case_of(Answered("a"), Answered("a", state="x"), Answered("b"))
    assert latest_answer(case, "a") == 1
    assert latest_answer(case, "c") is None


def test_shifts_compare_two_rankings(mower_assessor: Assessor) -> None:
    """Largest move first, with the probabilities of both rankings."""
    before = mower_assessor.assess(case_of(Complained("no-start"))).ranking
    answer = Answered("tank-look", state="empty")
    after = mower_assessor.assess(case_of(Complained("no-start"), answer)).ranking
    moves = shifts(before, after)
    assert moves[0].cause == "no-fuel"
    assert moves[0].before == before.find("no-fuel").probability
    assert moves[0].after == after.find("no-fuel").probability
    assert moves[0].by > 0
    assert [abs(m.by) for m in moves] == sorted((abs(m.by) for m in moves), reverse=True)


def test_a_written_case_reads_back(mower: RuleBase) -> None:
    """Machine, targets, every kind of answer, corrections with their rides and a note."""
    case = Case(
        {"size": "large"},
        dict([read_target(mower, "plug-gap", "0.75 mm")]),
        (
            Complained("no-start"),
            Complained("vibration", "deck"),
            Answered("tank-look", state="fresh"),
            Answered("spark-seen"),
            Answered("blade-wobble", cannot_here=True),
            read_answer(mower, "plug-gap-reading", "1.23456 mm"),
            Corrected("new-plug"),
            Rode("better", "no-start"),
            Answered("spark-seen", state="sparks"),
            Corrected("fill-up"),
            Rode("gone", "vibration/deck"),
            Noted("cold: 5 °C"),
        ),
    )
    text, left_out = case_yaml(case)
    assert left_out == ()
    assert case_from_bytes(mower, text.encode(), "written") == case


def test_what_a_case_file_has_no_place_for_is_said(mower: RuleBase) -> None:
    """Nothing is dropped in silence."""
    case = case_of(
        Complained("no-start"), Rode("same"), Declined("fill-up"), Insisted("empty-yet-sparks-wide")
    )
    text, left_out = case_yaml(case)
    assert len(left_out) == 3
    assert "fill-up" in left_out[1]
    assert case_from_bytes(mower, text.encode(), "written").events == (Complained("no-start"),)


def test_a_case_without_a_complaint_is_no_file() -> None:
    """A case file needs one."""
    with pytest.raises(ValueError, match="complaint"):
        case_yaml(Case())
