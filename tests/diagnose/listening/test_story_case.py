"""A case file that tells the rider's story."""

from __future__ import annotations

import pytest

from diagnose.case.events import Answered, BadFact, Complained, Told
from diagnose.case.files import case_from_bytes
from diagnose.case.writing import case_yaml
from diagnose.listening.listen import Listener
from diagnose.listening.story_case import heard_case
from rules.rulebase import RuleBase
from rules.units.quantities import Quantity

STORY = "Rear is harsh on square edges, 14 psi in the rear tyre. Air fork."


def test_what_is_sure_becomes_part_of_the_case(offroad: RuleBase, listener: Listener) -> None:
    given = case_from_bytes(offroad, f"case: 1\nstory: {STORY}\n".encode(), "f")
    case, story = heard_case(listener, given)
    assert story is not None
    assert case.events == (
        Told(STORY),
        Complained("harsh", "rear"),
        Answered("shows-square-edges", "yes"),
        Answered("rear-tyre-gauge", reading=Quantity(14, "psi")),
    )
    assert case.machine == {"fork": "air"}


def test_what_the_file_says_stands_against_the_story(offroad: RuleBase, listener: Listener) -> None:
    raw = (
        f"case: 1\nstory: {STORY}\ncomplaints: [harsh/rear]\nmachine: {{fork: coil-open}}\n"
        "answers: {rear-tyre-gauge: 13 psi}\n"
    )
    case, _ = heard_case(listener, case_from_bytes(offroad, raw.encode(), "f"))
    assert [e for e in case.events if isinstance(e, Complained)] == [Complained("harsh", "rear")]
    readings = [e for e in case.events if isinstance(e, Answered) and e.reading]
    assert readings == [Answered("rear-tyre-gauge", reading=Quantity(13, "psi"))]
    assert case.machine == {"fork": "coil-open"}


def test_a_story_without_a_complaint_is_refused(offroad: RuleBase, listener: Listener) -> None:
    given = case_from_bytes(offroad, b"case: 1\nstory: good morning\n", "f")
    with pytest.raises(BadFact, match="no complaint is understood"):
        heard_case(listener, given)


def test_a_case_without_a_story_stays_as_it_is(offroad: RuleBase, listener: Listener) -> None:
    given = case_from_bytes(offroad, b"case: 1\ncomplaints: [pulls]\n", "f")
    assert heard_case(listener, given) == (given, None)


def test_the_riders_words_survive_writing_and_reading(
    offroad: RuleBase, listener: Listener
) -> None:
    given = case_from_bytes(offroad, f"case: 1\nstory: {STORY}\n".encode(), "f")
    case, _ = heard_case(listener, given)
    text, left_out = case_yaml(case)
    assert left_out == ()
    assert case_from_bytes(offroad, text.encode(), "f") == case
