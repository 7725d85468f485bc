"""Weight of evidence against its definition and a worked example."""

from __future__ import annotations

import numpy as np
import pytest

from diagnose.inference.posterior import decibans

# I. J. Good, Probability and the Weighing of Evidence, 1950; E. T. Jaynes, Probability Theory, 2003,
# ch. 4 (both from memory): ten times the common logarithm of the odds factor. A bad widget at rates
# 1/3 against 1/6 weighs +3.01 db, a good one -0.97 db.


def test_decibans_of_odds() -> None:
    odds = np.array([1.0, 10.0, 100.0, 2.0, 1.25, 0.5])
    expected = [0.0, 10.0, 20.0, 3.0103, 0.9691, -3.0103]
    assert decibans(odds / (1 + odds)) == pytest.approx(expected, abs=1e-4)


@pytest.mark.parametrize(
    ("ratio", "weight"), [((1 / 3) / (1 / 6), 3.0103), ((2 / 3) / (5 / 6), -0.9691)]
)
def test_the_widget_example(ratio: float, weight: float) -> None:
    prior = 0.2
    odds = prior / (1 - prior) * ratio
    shift = decibans(np.array([odds / (1 + odds)])) - decibans(np.array([prior]))
    assert shift[0] == pytest.approx(weight, abs=1e-4)


def test_weights_add_to_the_posterior_odds() -> None:
    """Prior 0.2, factors 9 and 0.5: 0.5115 db in all, probability 9/17."""
    total = decibans(np.array([0.2]))[0] + 10 * np.log10(9) + 10 * np.log10(0.5)
    assert total == pytest.approx(0.5115, abs=1e-4)
    assert decibans(np.array([9 / 17]))[0] == pytest.approx(total)
