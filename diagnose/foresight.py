"""What an observation not yet made could show, and where each answer would leave the causes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from diagnose.hypotheses import Floats
from diagnose.interview import Assessment
from diagnose.likelihood import Network
from diagnose.ranking import Belief, Model, normalised


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
    with np.errstate(divide="ignore"):
        log_posterior = np.log(belief.posterior)
    found = []
    for index, state in enumerate(model.rules.nodes[node].states):
        joint = log_posterior + network.log_likelihood(left, node, index)
        chance = float(np.exp(joint).sum())
        if chance > 0:
            found.append(Outcome(state, chance, _causes(network, belief, normalised(joint))))
    return tuple(found)


def foresee(model: Model, assessment: Assessment) -> dict[str, tuple[Outcome, ...]]:
    """The outcomes of every observation that is still open, by node."""
    return {
        option.node: outcomes(model, assessment.belief, option.node)
        for option in assessment.options
    }


def swings(
    assessment: Assessment, foreseen: Mapping[str, tuple[Outcome, ...]], cause: str
) -> tuple[Swing, ...]:
    """The open observations that could move `cause`, furthest first, ties by id.

    An option that `foreseen` says nothing of is left out.
    """
    found = []
    for option in assessment.options:
        after = [outcome.causes[cause] for outcome in foreseen.get(option.node, ())]
        if after:
            found.append(Swing(option.observation, option.node, min(after), max(after)))
    return tuple(sorted(found, key=lambda swing: (-swing.width, swing.node)))


def _causes(network: Network, belief: Belief, posterior: Floats) -> dict[str, float]:
    marginal = belief.sets.marginals(posterior)
    return {cause: float(marginal[index]) for index, cause in enumerate(network.causes)}
