"""Probabilities in words."""

from __future__ import annotations

import pytest

from diagnose.words.chances import percent


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
