"""Places of one cause go together: what they say against it is shortened to what the surest says."""

from __future__ import annotations

import math

import numpy as np
import pytest

from diagnose.inference.network import Network
from rules.rulebase import Link

NETWORK = Network(
    causes=("worn",),
    cause_index={"worn": 0},
    log_odds=np.zeros(1),
    nodes=("uphill", "downhill", "looked-at"),
    first_row={"uphill": 0, "downhill": 2, "looked-at": 4},
    sizes={"uphill": 2, "downhill": 2, "looked-at": 2},
    log_cdf=np.zeros((6, 1)),
    log_leak=np.zeros(6),
    places=np.array([0, 2]),
)


def column(**shown: float) -> list[float]:
    """Chance of `no` from each node, by how surely the cause shows there."""
    links = [
        Link("worn", node.replace("_", "-"), (1 - chance, chance), {}, ())
        for node, chance in shown.items()
    ]
    return [float(chance) for chance in np.exp(NETWORK.column(links)[[0, 2, 4]])]


def test_one_place_is_read_as_written() -> None:
    assert column(uphill=0.99) == pytest.approx([0.01, 1, 1])
    assert column(uphill=0.9, looked_at=0.95) == pytest.approx([0.1, 1, 0.05])


def test_a_second_place_may_say_as_much_as_one_as_likely_as_not() -> None:
    assert column(uphill=0.9, downhill=0.5) == pytest.approx([0.1, 0.5, 1])
    assert column(uphill=0.9, downhill=0.4) == pytest.approx([0.1, 0.6, 1])


def test_what_is_said_beyond_that_is_shortened_by_the_same_share() -> None:
    up, down, looked = column(uphill=0.9, downhill=0.8, looked_at=0.7)
    assert up * down == pytest.approx(0.1 * 0.5)
    assert math.log(up) / math.log(down) == pytest.approx(math.log(0.1) / math.log(0.2))
    assert looked == pytest.approx(0.3)
