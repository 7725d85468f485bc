"""The network of a pack in a general library for Bayesian networks.

The library is pyagrum (exact, C++). A node with dozens of parents has no table that fits a computer,
so each noisy-MAX is written as a chain that takes one cause after the other.
"""

from __future__ import annotations

import numpy as np
import pyagrum

from diagnose.advice.assessor import Assessor
from diagnose.case.events import Case
from diagnose.case.files import load_worked_cases
from diagnose.inference.network import Network
from diagnose.inference.posterior import Belief
from rules.loading.pack_files import OFFROAD, WORKED_CASES


def library_network(network: Network, applies: list[int], nodes: list[str]) -> pyagrum.BayesNet:
    """The causes and a chain per node of evidence."""
    net = pyagrum.BayesNet()
    for cause in applies:
        absent = float(1 / (1 + np.exp(network.log_odds[cause])))
        net.cpt(net.add(f"c{cause}", 2)).fillWith([absent, 1 - absent])
    for number, node in enumerate(nodes):
        first, size = network.first_row[node], network.sizes[node]
        rows = slice(first, first + size)
        last = f"n{number}"
        leak = np.diff(np.exp(network.log_leak[rows]), prepend=0.0)
        net.cpt(net.add(last, size)).fillWith(leak.tolist())
        for cause in applies:
            if network.log_cdf[first, cause] < 0:
                shown = np.diff(np.exp(network.log_cdf[rows, cause]), prepend=0.0)
                last = _link(net, last, cause, size, shown.tolist())
        net.changeVariableName(last, f"end{number}")
    return net


def _link(net: pyagrum.BayesNet, last: str, cause: int, size: int, shown: list[float]) -> str:
    """One more cause's say in a node: the more telling of what was seen and what it shows."""
    name = f"{last.partition('_')[0]}_{cause}"
    fresh = net.add(name, size)
    net.addArc(last, name)
    net.addArc(f"c{cause}", name)
    for before in range(size):
        row = [0.0] * size
        row[before] = 1.0
        net.cpt(fresh)[{last: before, f"c{cause}": 0}] = row
        row = [0.0] * size
        for state, chance in enumerate(shown):
            row[max(before, state)] += chance
        net.cpt(fresh)[{last: before, f"c{cause}": 1}] = row
    return name


def library_engine(shop: Assessor, belief: Belief) -> tuple[pyagrum.LazyPropagation, list[int]]:
    """The library's engine with the evidence of a belief, and the causes that its bike can have."""
    network = shop.model.network
    applies = [
        n for n, cause in enumerate(network.causes) if cause not in belief.findings.not_applicable
    ]
    nodes = [item.nodes[0] for item in belief.evidence]
    engine = pyagrum.LazyPropagation(library_network(network, applies, nodes))
    given = {
        f"end{n}": shop.rules.nodes[node].index(item.state)
        for n, (node, item) in enumerate(zip(nodes, belief.evidence, strict=True))
    }
    engine.setEvidence(given)
    return engine, applies


def library_marginals(engine: pyagrum.LazyPropagation, applies: list[int]) -> list[float]:
    """The posterior of each cause in `applies`."""
    engine.makeInference()
    return [float(engine.posterior(f"c{cause}")[1]) for cause in applies]


def simple_cases(shop: Assessor, every: int, most_nodes: int) -> list[Belief]:
    """Every so many worked cases cut down to what both can take: single nodes, uncorrected,
    judged by the bike's own figures."""
    found = []
    for worked in load_worked_cases(shop.rules, OFFROAD / WORKED_CASES)[::every]:
        for length in range(len(worked.case.events), 0, -1):
            case = Case(worked.case.machine, worked.case.targets, worked.case.events[:length])
            belief = shop.model.believe(case)
            plain = all(
                len(e.nodes) == 1 and not e.corrected and e.weight == 1 for e in belief.evidence
            )
            if plain and len(belief.evidence) <= most_nodes:
                found.append(belief)
                break
    return found
