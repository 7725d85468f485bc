"""Noisy-MAX with a leak: how likely a state is, given which causes are at work.

Causes act independently and the most telling state any of them (or the background) produces is the
one seen, so P(state <= k | causes) is the product of each one's P(state <= k). The link strengths
exclude the background (the 'net' convention of Díez, 1993, from memory).
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from diagnose.inference.terms import Flags, Floats, Indices
from rules.rulebase import Link, RuleBase

EVEN_CHANCE = math.log(2)
"""How much the places beside a cause's surest one may say against it together: as much as one
place where it shows as likely as not (own choice)."""


@dataclass(frozen=True, slots=True)
class Network:
    """A pack as arrays.

    `log_cdf[row, cause]` is ln P(state <= k | cause alone) and `log_leak[row]` the same for the
    background, where `row = first_row[node] + k`. `log_odds` is ln p/(1-p) of each cause's prior.
    `places` are the rows that say a complaint does not show in a phase of riding.
    """

    causes: tuple[str, ...]
    cause_index: dict[str, int]
    log_odds: Floats
    nodes: tuple[str, ...]
    first_row: dict[str, int]
    sizes: dict[str, int]
    log_cdf: Floats
    log_leak: Floats
    places: Indices

    def column(self, links: Iterable[Link]) -> Floats:
        """ln P(state <= k | cause alone) for every row, from all links of one cause.

        A pack says of each place by itself how surely a cause shows there, but the places go
        together: a slight fault shows in its surest place alone, whatever else it could do. Taken
        as independent, "no" to all the others would bury it. With L = -ln P(not there) of each
        place, every L is shortened by the same share, so that they add up to no more than the
        largest L and ln 2 (computed; the allowance is an own choice). Causes with one place, or
        with little to say of others, are read as written.
        """
        column = np.zeros(len(self.log_leak))
        for link in links:
            first = self.first_row[link.node]
            column[first : first + self.sizes[link.node]] = log_of_cumulative(link.chances)
        said = -column[self.places]
        most = said.max(initial=0.0) + EVEN_CHANCE
        if said.sum() > most:
            column[self.places] *= most / said.sum()
        return column

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
    network = Network(
        causes,
        index,
        np.log(priors) - np.log1p(-priors),
        tuple(rules.nodes),
        first_row,
        sizes,
        np.zeros((row, len(causes))),
        np.concatenate(leaks),
        np.array([first_row[k] for k, o in rules.observations.items() if o.phase], dtype=np.intp),
    )
    for cause, links in links_by_cause(rules).items():
        network.log_cdf[:, index[cause]] = network.column(links)
    return network


def links_by_cause(rules: RuleBase) -> dict[str, list[Link]]:
    """All links of each cause that has any."""
    found: dict[str, list[Link]] = {}
    for link in rules.links:
        found.setdefault(link.cause, []).append(link)
    return found


def log_of_cumulative(chances: tuple[float, ...]) -> Floats:
    """ln P(state <= k) for each state, from the probability of each."""
    cumulative = np.cumsum(np.asarray(chances, dtype=np.float64))
    cumulative[-1] = 1.0
    return np.asarray(np.log(cumulative))
