"""A story gone through: what is struck out does not count, what is asked counts as answered."""

from __future__ import annotations

import pytest

from diagnose.case.events import Answered, Complained, Told
from diagnose.listening.listen import Listener, listener_of
from diagnose.listening.understood import NONE, understand
from rules.rulebase import RuleBase

GREASED = "back end went harsh after I greased the linkage"


@pytest.fixture
def offroad_listener(offroad: RuleBase) -> Listener:
    return listener_of(offroad)


def test_the_words_come_first_then_what_they_come_to(offroad_listener: Listener) -> None:
    understood = understand(offroad_listener, GREASED)
    assert understood.question is None
    assert understood.events == (
        Told(GREASED),
        Complained("harsh", "rear"),
        Answered("changed-linkage-apart", "yes"),
    )
    assert [item.words[0].text for item in understood.items] == ["harsh", "after"]


def test_what_is_struck_out_is_not_said_until_it_stands_again(offroad_listener: Listener) -> None:
    understood = understand(offroad_listener, GREASED)
    linkage = understood.items[1]
    struck = understood.strike(linkage)
    assert struck.events == (Told(GREASED), Complained("harsh", "rear"))
    assert struck.strike(struck.items[1]).events == understood.events


def test_which_end_is_asked_once_and_stands_in_the_complaint(offroad_listener: Listener) -> None:
    understood = understand(offroad_listener, "it just beats me up")
    question = understood.question
    assert question is not None and question.asks == "place"
    rear = understood.answer(question, "rear")
    assert rear.question is None and rear.events[1] == Complained("harsh", "rear")
    unknown = understood.answer(question, NONE)
    assert unknown.question is None and unknown.events[1] == Complained("harsh")


def test_no_end_is_asked_of_what_was_struck_out(offroad_listener: Listener) -> None:
    understood = understand(offroad_listener, "it just beats me up")
    struck = understood.strike(understood.items[0])
    assert struck.question is None and not struck.has_complaint


def test_what_may_be_meant_counts_only_once_accepted(offroad_listener: Listener) -> None:
    understood = understand(offroad_listener, "it gets a bit twitchy")
    question = understood.question
    assert question is not None and question.asks == "complaint"
    assert not understood.answer(question, NONE).has_complaint
    assert not understood.has_complaint
    accepted = understood.answer(question, "yes")
    assert accepted.items[0].what == Complained(question.id, question.place)


def test_more_words_add_and_what_was_struck_out_stays_so(offroad_listener: Listener) -> None:
    understood = understand(offroad_listener, GREASED)
    more = understood.strike(understood.items[1]).add("14 psi in the rear tyre")
    assert more.events[0] == Told(f"{GREASED}\n\n14 psi in the rear tyre")
    assert Answered("changed-linkage-apart", "yes") not in more.events
    readings = [e for e in more.events if isinstance(e, Answered) and e.reading is not None]
    assert [(e.observation, str(e.reading)) for e in readings] == [("rear-tyre-gauge", "14 psi")]


def test_two_figures_for_one_reading_are_asked_about(offroad_listener: Listener) -> None:
    text = "harsh rear, 14 psi in the rear tyre, no wait, 16 psi in the rear tyre"
    understood = understand(offroad_listener, text)
    while (question := understood.question) is not None:
        assert question.asks == "fact"
        understood = understood.answer(question, question.choices[-1])
    read = [e for e in understood.events if isinstance(e, Answered) and e.reading is not None]
    assert [str(e.reading) for e in read] == ["16 psi"]
