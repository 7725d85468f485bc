"""Complaints by the words riders use."""

from __future__ import annotations

import pytest

from diagnose.listening.complaints import find_by_words, find_complaints
from rules.rulebase import RuleBase


@pytest.mark.parametrize(
    ("said", "complaint"),
    [
        ("stiff", "harsh"),
        ("beats me up", "harsh"),
        ("washy", "pushing"),
        ("swims", "wallowing"),
        ("spits me off rocks", "deflection"),
        ("oil on the leg", "seal-weep"),
        ("wont turn", "heavy-steering"),
        ("HEADSHAKE", "headshake"),
        ("kciks", "rear-kick"),
    ],
)
def test_the_riders_word_finds_the_complaint_first(
    offroad: RuleBase, said: str, complaint: str
) -> None:
    assert find_complaints(offroad, said)[0] == complaint


def test_a_plain_match_is_not_buried_in_weak_ones(offroad: RuleBase) -> None:
    assert find_complaints(offroad, "harsh") == ["harsh"]


@pytest.mark.parametrize("said", ["xyzzy", "", "   ", "12345"])
def test_nothing_like_it_finds_nothing(offroad: RuleBase, said: str) -> None:
    assert find_complaints(offroad, said) == []


@pytest.mark.parametrize(
    ("question", "observation"),
    [
        ("when was the fork oil changed?", "hours-fork-service"),
        ("is the steering head loose", "head-play-rock"),
        ("fork presure", "air-fork-main-measured"),
    ],
)
def test_a_question_finds_first_what_has_its_rarest_words(
    offroad: RuleBase, question: str, observation: str
) -> None:
    asks = {name: (entry.ask,) for name, entry in offroad.observations.items()}
    first = find_by_words(asks, question, 9)[0]
    assert first == observation, asks[first]


def test_words_shown_come_before_the_same_words_behind_them() -> None:
    sayings = {"behind": ("chain", "slack"), "shown": ("slack chain", ""), "none": ("tyre", "air")}
    assert find_by_words(sayings, "chain slack?", 9) == ["shown", "behind"]
    assert find_by_words(sayings, "chain slack?", 1) == ["shown"]
    assert find_by_words(sayings, "xylophone", 9) == find_by_words(sayings, "?", 9) == []
