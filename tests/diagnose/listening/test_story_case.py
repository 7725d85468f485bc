"""A case file that tells the rider's story."""

from __future__ import annotations

import pytest

from diagnose.case.events import Answered, BadFact, Case, Complained, Told
from diagnose.case.files import case_from_bytes
from diagnose.case.writing import case_yaml
from diagnose.listening.listen import Listener
from diagnose.listening.story_case import heard_case, is_to_be_heard
from rules.problems import FileProblems
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


def test_what_was_struck_out_is_not_heard_again(offroad: RuleBase, listener: Listener) -> None:
    """A file written from a case keeps the words as words; what was taken then stands in it."""
    case, _ = heard_case(
        listener, case_from_bytes(offroad, f"case: 1\nstory: {STORY}\n".encode(), "f")
    )
    struck = Case(
        {"fork": "coil-open"},
        {},
        tuple(e for e in case.events if e != Answered("shows-square-edges", "yes")),
    )
    text, _ = case_yaml(struck)
    read = case_from_bytes(offroad, text.encode(), "f")
    assert not is_to_be_heard(read)
    assert heard_case(listener, read) == (struck, None)


def test_words_that_do_not_fit_a_file_are_said_to_be_left_out(offroad: RuleBase) -> None:
    told = "It dives. " * 3000
    text, left_out = case_yaml(Case({}, {}, (Told(told), Complained("pulls"))))
    assert left_out == ("the rider's words beyond the first 20000 letters",)
    (said, _) = case_from_bytes(offroad, text.encode(), "f").events
    assert said == Told(told[:20000])


@pytest.mark.parametrize("more", ["story: it dives\n", "complaints: [pulls]\n"])
def test_only_a_story_beside_its_complaints_was_heard(offroad: RuleBase, more: str) -> None:
    with pytest.raises(FileProblems, match="`heard` is for a `story` beside the `complaints`"):
        case_from_bytes(offroad, f"case: 1\nheard: true\n{more}".encode(), "f")
