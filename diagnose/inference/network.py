"""Noisy-MAX with a leak: how likely a state is, given which causes are at work.

Causes act independently and the most telling state any of them (or the background) produces is the
one seen, so P(state <= k | causes) is the product of each one's P(state <= k). The link strengths
exclude the background (the 'net' convention of Díez, 1993, from memory).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from diagnose.inference.terms import Flags, Floats
from rules.rulebase import RuleBase


@dataclass(frozen=True, slots=True)
class Network:
    """A pack as arrays.

    `log_cdf[row, cause]` is ln P(state <= k | cause alone) and `log_leak[row]` the same for the
    background, where `row = first_row[node] + k`. `log_odds` is ln p/(1-p) of each cause's prior.
    """

    causes: tuple[str, ...]
    cause_index: dict[str, int]
    log_odds: Floats
    nodes: tuple[str, ...]
    first_row: dict[str, int]
    sizes: dict[str, int]
    log_cdf: Floats
    log_leak: Floats

    def touches(self, nodes: Iterable[str]) -> Flags:
        """Which causes show on any of the nodes, as flags over causes."""
        rows = [self.first_row[node] for node in nodes]
        return np.asarray((self.log_cdf[rows] < 0).any(axis=0))

    def nodes_showing(self, causes: Flags) -> frozenset[str]:
        """The nodes that any of the flagged causes shows on."""
        rows = np.array([self.first_row[node] for node in self.nodes])
        shows = (self.log_cdf[np.ix_(rows, np.flatnonzero(causes))] < 0).any(axis=1)
        return frozenset(self.nodes[n] for n in np.flatnonzero(shows))


def build_network(rules: RuleBase) -> Network:
    """Turn a pack's priors, backgrounds and links into arrays, once."""
    causes = tuple(rules.causes)
    index = {cause: number for number, cause in enumerate(causes)}
    priors = np.array([rules.causes[cause].per_100 / 100 for cause in causes])
    first_row: dict[str, int] = {}
    sizes: dict[str, int] = {}
    leaks: list[Floats] = []
    row = 0
    for node in rules.nodes.values():
        first_row[node.id], sizes[node.id] = row, len(node.states)
        leaks.append(log_of_cumulative(node.background))
        row += len(node.states)
    log_cdf = np.zeros((row, len(causes)))
    for link in rules.links:
        first = first_row[link.node]
        log_cdf[first : first + sizes[link.node], index[link.cause]] = log_of_cumulative(
            link.chances
        )
    return Network(
        causes,
        index,
        np.log(priors) - np.log1p(-priors),
        tuple(rules.nodes),
        first_row,
        sizes,
        log_cdf,
        np.concatenate(leaks),
    )


def log_of_cumulative(chances: tuple[float, ...]) -> Floats:
    """ln P(state <= k) for each state, from the probability of each."""
    cumulative = np.cumsum(np.asarray(chances, dtype=np.float64))
    cumulative[-1] = 1.0
    return np.asarray(np.log(cumulative))
