"""A fact nobody asked for: heard surely, or near in words."""

from __future__ import annotations

import pytest

from diagnose.case.events import Complained, read_answer
from diagnose.listening.listen import Listener, listener_of
from diagnose.listening.volunteered import FactsNear, facts_near, reading_in
from rules.rulebase import RuleBase


@pytest.fixture
def offroad_listener(offroad: RuleBase) -> Listener:
    return listener_of(offroad)


@pytest.mark.parametrize(
    ("text", "sag"),
    [
        ("rear sag 128", "rear 128 mm"),
        ("sag's 120 at the back", "rear 120 mm"),
        ("sag is 75 up front", "front 75 mm"),
        ("front sag 70", "front 70 mm"),
    ],
)
def test_a_reading_in_words_is_heard(offroad_listener: Listener, text: str, sag: str) -> None:
    (answer,) = facts_near(offroad_listener, text).heard
    end, reading = sag.split(" ", 1)
    assert answer.observation == f"{end}-race-sag-measured" and str(answer.reading) == reading


def test_an_end_not_said_is_asked_first(offroad_listener: Listener) -> None:
    near = facts_near(offroad_listener, "brake feels weak")
    assert near.heard == ()
    assert near.meant[:2] == ("front-brake-feel", "rear-brake-feel")


@pytest.mark.parametrize(
    ("said", "observations"),
    [
        (
            "rear sag 128, front wheel was out",
            {"rear-race-sag-measured", "changed-front-wheel-out"},
        ),
        ("rear sag 128", {"rear-race-sag-measured"}),
        ("oil on the front disc", {"oil-on-front-brake"}),
    ],
)
def test_each_example_that_is_shown_is_heard_for_sure(
    offroad_listener: Listener, said: str, observations: set[str]
) -> None:
    heard = facts_near(offroad_listener, said).heard
    assert {answer.observation for answer in heard} == observations


def test_what_only_shares_words_is_not_heard(offroad_listener: Listener) -> None:
    near = facts_near(offroad_listener, "disc is oily")
    assert near.heard == ()
    assert set(near.meant[:2]) == {"oil-on-front-brake", "oil-on-rear-brake"}


def test_words_that_say_nothing_of_a_question_do_not_bring_it_up(
    offroad_listener: Listener,
) -> None:
    near = facts_near(offroad_listener, "lost a lot of oil")
    assert near.heard == ()
    assert near.meant and "shock-spring-coils" not in near.meant


def test_what_is_done_elsewhere_is_no_change_of_the_bike(offroad_listener: Listener) -> None:
    assert facts_near(offroad_listener, "my riding did not change").heard == ()


def test_an_oil_level_in_words_finds_the_oil_level(offroad_listener: Listener) -> None:
    near = facts_near(offroad_listener, "oil level low in the left leg")
    assert near.heard == ()
    assert near.meant[0] == "fork-oil-level-measured"


def test_a_figure_in_another_kind_of_unit_is_not_taken_for_a_reading(offroad: RuleBase) -> None:
    assert reading_in(offroad, "rear-race-sag-measured", "14 psi rear") is None
    found = reading_in(offroad, "rear-tyre-gauge", "14 psi rear")
    assert found == read_answer(offroad, "rear-tyre-gauge", "14 psi")
    assert reading_in(offroad, "oil-on-front-brake", "14 psi rear") is None


def test_what_does_not_apply_is_neither_heard_nor_offered(offroad_listener: Listener) -> None:
    near = facts_near(offroad_listener, "rear sag 128", {"rear-race-sag-measured"})
    assert near.heard == ()
    assert near.meant and "rear-race-sag-measured" not in near.meant


@pytest.mark.parametrize("text", ["  ", "zzzz qqqq", "purple monkey", "blue cheese on toast"])
def test_what_shares_no_words_offers_nothing(offroad_listener: Listener, text: str) -> None:
    assert facts_near(offroad_listener, text) == FactsNear()


def test_another_complaint_is_heard_unless_it_is_there_already(offroad_listener: Listener) -> None:
    def heard(text: str, *already: Complained) -> tuple[Complained, ...]:
        return facts_near(offroad_listener, text, (), already).complaints

    assert heard("and it also headshakes") == (Complained("headshake"),)
    assert heard("and it also headshakes", Complained("headshake")) == ()
    front, rear = (Complained("harsh", place) for place in ("front", "rear"))
    assert heard("the front is harsh too", rear) == (front,)
    assert heard("the front is harsh too", Complained("harsh")) == ()
