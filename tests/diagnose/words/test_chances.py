"""Probabilities in words."""

from __future__ import annotations

import pytest

from diagnose.words.chances import how_likely, percent


@pytest.mark.parametrize(
    ("share", "words"),
    [
        (0.0, "under 1 %"),
        (0.0099, "under 1 %"),
        (0.01, "1 %"),
        (0.125, "12 %"),
        (0.99, "99 %"),
        (0.9901, "over 99 %"),
        (1.0, "over 99 %"),
    ],
)
def test_nothing_is_certain(share: float, words: str) -> None:
    assert percent(share) == words


@pytest.mark.parametrize(
    ("share", "words"),
    [
        (0.97, "almost certain"),
        (0.85, "very likely"),
        (0.6, "likely"),
        (0.4, "as likely as not"),
        (0.399, "about 1 in 3"),
        (0.11, "about 1 in 9"),
        (0.05, "about 1 in 20"),
        (0.049, "less than 1 in 20"),
        (0.0, "less than 1 in 20"),
    ],
)
def test_how_likely_is_said_without_a_percentage(share: float, words: str) -> None:
    assert how_likely(share) == words
