"""What an observation not yet made could show, and where each answer would leave the causes."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from diagnose.advice.pricing import Option
from diagnose.inference.posterior import Belief, Model

# a chance is a difference of two sums near 1; below this it is rounding
SMALLEST_CHANCE = 1e-12


@dataclass(frozen=True, slots=True)
class Outcome:
    """One possible answer: how likely it is, and the probability of each cause once it is given."""

    state: str
    chance: float
    causes: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Swing:
    """An open observation and how far its answers could move one cause."""

    observation: str
    node: str
    lowest: float
    highest: float

    @property
    def width(self) -> float:
        """Between the answer that leaves the cause least and the one that leaves it most likely."""
        return self.highest - self.lowest


def outcomes(model: Model, belief: Belief, node: str) -> tuple[Outcome, ...]:
    """Every answer `node` could still give, in the order of its states, the impossible left out."""
    network = model.network
    left = belief.sets.without(belief.gone) if belief.gone.any() else belief.sets
    base = belief.posterior / belief.bystanders.totals()
    log_cumulative = network.log_cumulative(left, node)
    found = []
    chance_before, weights_before = 0.0, np.zeros(len(network.causes))
    for index, state in enumerate(model.rules.nodes[node].states):
        row = network.first_row[node] + index
        beside = belief.bystanders.thinned(np.exp(network.log_cdf[row]))
        joint = base * np.exp(log_cumulative[index]) * beside.totals()
        up_to = float(joint.sum())
        weights = belief.sets.marginals(joint) + beside.marginals(joint)
        chance = up_to - chance_before
        if chance > SMALLEST_CHANCE:
            shares = np.clip((weights - weights_before) / chance, 0.0, 1.0)
            causes = dict(zip(network.causes, shares.tolist(), strict=True))
            found.append(Outcome(state, chance, causes))
        chance_before, weights_before = up_to, weights
    return tuple(found)


def foresee(
    model: Model, belief: Belief, options: Iterable[Option]
) -> dict[str, tuple[Outcome, ...]]:
    """The outcomes of every observation that is still open, by node."""
    return {option.node: outcomes(model, belief, option.node) for option in options}


def swings(
    options: Iterable[Option], foreseen: Mapping[str, tuple[Outcome, ...]], cause: str
) -> tuple[Swing, ...]:
    """The open observations that could move `cause`, furthest first, ties by id.

    An option that `foreseen` says nothing of is left out.
    """
    found = []
    for option in options:
        after = [outcome.causes[cause] for outcome in foreseen.get(option.node, ())]
        if after:
            found.append(Swing(option.observation, option.node, min(after), max(after)))
    return tuple(sorted(found, key=lambda swing: (-swing.width, swing.node)))
