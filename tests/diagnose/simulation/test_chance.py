"""Draws that depend on a seed and words alone."""

from __future__ import annotations

from collections import Counter

import numpy as np
import pytest

from diagnose.simulation.chance import Dice


def test_the_stream_is_pinned() -> None:
    """Worked out from the raw PCG64 stream; another value means other cases for a class."""
    dice = Dice(7, "a", "b")
    assert [dice.unit() for _ in range(3)] == pytest.approx(
        [0.9681787498295286, 0.3415568061744463, 0.6632837771140236], abs=0
    )


def test_words_and_seed_name_the_stream() -> None:
    first = {Dice(seed, *words).unit() for seed in (1, 2) for words in ((), ("a",), ("a", "b"))}
    assert len(first) == 6


def test_picks_are_as_often_as_their_weights() -> None:
    dice = Dice(3)
    counts = Counter(dice.pick([1.0, 0.0, 3.0]) for _ in range(4000))
    assert set(counts) == {0, 2}
    assert counts[2] / 4000 == pytest.approx(0.75, abs=0.03)


def test_a_sample_has_no_doubles_and_stops_at_the_options() -> None:
    dice = Dice(4)
    assert sorted(dice.sample("abc", 5)) == ["a", "b", "c"]
    assert len(set(dice.sample("abcdef", 3))) == 3


def test_an_error_stays_within_its_width_and_crowds_about_zero() -> None:
    dice = Dice(5)
    drawn = np.array([dice.around(2.0) for _ in range(3000)])
    assert np.all(np.abs(drawn) <= 2.0)
    assert np.mean(np.abs(drawn) < 0.6) == pytest.approx(1 - 0.7**2, abs=0.04)
