"""A fact nobody asked for: heard surely, or near in words."""

from __future__ import annotations

import pytest

from diagnose.case.events import Answered
from diagnose.listening.listen import Listener, listener_of
from diagnose.listening.volunteered import facts_heard, facts_near
from rules.rulebase import RuleBase


@pytest.fixture
def offroad_listener(offroad: RuleBase) -> Listener:
    return listener_of(offroad)


def test_a_reading_in_words_comes_first(offroad_listener: Listener) -> None:
    first = facts_near(offroad_listener, "rear sag 128")[0]
    assert first.heard and first.observation == "rear-race-sag-measured"
    assert first.answer is not None and str(first.answer.reading) == "128 mm"
    assert facts_heard(offroad_listener, "rear sag 128") == (first.answer,)


def test_a_look_is_found_by_its_words_with_the_state_they_name(offroad_listener: Listener) -> None:
    found = facts_near(offroad_listener, "disc is oily")
    answers = [match.answer for match in found]
    assert Answered("oil-on-front-brake", "on-brake") in answers
    assert Answered("oil-on-rear-brake", "on-brake") in answers
    assert not any(match.heard for match in found)


def test_a_figure_in_another_kind_of_unit_is_not_taken_for_a_reading(
    offroad_listener: Listener, offroad: RuleBase
) -> None:
    for match in facts_near(offroad_listener, "14 psi rear"):
        if match.answer is not None and match.answer.reading is not None:
            assert match.answer.reading.unit == "psi", match.observation
            assert offroad.observations[match.observation].unit == "psi"


def test_what_does_not_apply_is_not_offered(offroad_listener: Listener) -> None:
    found = facts_near(offroad_listener, "rear sag 128", {"rear-race-sag-measured"})
    assert found and all(match.observation != "rear-race-sag-measured" for match in found)


def test_nothing_typed_and_nothing_like_it_offer_nothing(offroad_listener: Listener) -> None:
    assert facts_near(offroad_listener, "  ") == []
    assert facts_near(offroad_listener, "zzzz qqqq") == []
