"""Complaints by the words riders use."""

from __future__ import annotations

import pytest

from diagnose.listening.complaints import find_complaints
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
