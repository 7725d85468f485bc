"""Posteriors against a general library for Bayesian networks, with full tables."""

from __future__ import annotations

import itertools
from dataclasses import replace
from pathlib import Path

import numpy as np
import pyagrum
import pytest

from diagnose.advice.assessor import Assessor
from diagnose.case.events import Case, Complained
from diagnose.inference.evidence import Evidence, Weigher
from diagnose.inference.network import Network, build_network
from diagnose.inference.posterior import Model, chances_of
from rules.loading.loader import load_pack
from rules.rulebase import Link, Node, RuleBase
from tests.oracles.library_network import library_engine, library_marginals, simple_cases
from tests.published.fever import PRIORS, fever_pack


def test_fever_posteriors_agree_with_the_library(tmp_path: Path) -> None:
    model = Model(load_pack(fever_pack(tmp_path)))
    ours = model.believe(Case(events=(Complained("fever"),))).marginal
    net = pyagrum.BayesNet()
    for name, prior in PRIORS.items():
        net.add(name, 2)
        net.cpt(name).fillWith([1 - prior, prior])
    net.addNoisyORNet(pyagrum.LabelizedVariable("fever", "fever", 2), 0.0)
    for name, strength in (("cold", 0.4), ("flu", 0.8), ("malaria", 0.9)):
        net.addWeightedArc(name, "fever", strength)
    engine = pyagrum.LazyPropagation(net)
    engine.setEvidence({"fever": 1})
    engine.makeInference()
    theirs = [engine.posterior(name)[1] for name in PRIORS]
    assert ours == pytest.approx(theirs, abs=1e-9)
    assert ours == pytest.approx([0.561934, 0.507175, 0.056778], abs=1e-6)


def random_rules(mower: RuleBase, rng: np.random.Generator, causes: int) -> RuleBase:
    """So many causes with random priors, and nodes of two to four states that show some of them."""

    def chances(size: int) -> tuple[float, ...]:
        return tuple(rng.dirichlet(np.ones(size)).tolist())

    names = list(mower.causes)[:causes]
    nodes, links = {}, []
    for number, size in enumerate((2, 3, 2, 4)):
        states = tuple(f"s{state}" for state in range(size))
        node = Node(f"n{number}", "observation", "", states, states, chances(size), ("made-up",))
        nodes[node.id] = node
        links += [
            Link(name, node.id, chances(size), {}, ("made-up",))
            for name in names
            if rng.random() < 0.7
        ]
    priors = rng.uniform(2, 40, causes)
    return replace(
        mower,
        causes={
            name: mower.causes[name].model_copy(update={"per_100": float(prior)})
            for name, prior in zip(names, priors, strict=True)
        },
        nodes=nodes,
        links=tuple(links),
    )


def library_posterior(network: Network, evidence: dict[str, int]) -> list[float]:
    """The same network with full tables in the library."""
    net = pyagrum.BayesNet()
    for n, name in enumerate(network.causes):
        absent = float(1 / (1 + np.exp(network.log_odds[n])))
        net.add(name, 2)
        net.cpt(name).fillWith([absent, 1 - absent])
    for node in network.nodes:
        first, size = network.first_row[node], network.sizes[node]
        net.add(node, size)
        parents = [
            n
            for n in range(len(network.causes))
            if np.any(network.log_cdf[first : first + size, n])
        ]
        for n in parents:
            net.addArc(network.causes[n], node)
        for states in itertools.product((0, 1), repeat=len(parents)):
            cdf = np.exp(network.log_leak[first : first + size])
            for on, n in zip(states, parents, strict=True):
                if on:
                    cdf = cdf * np.exp(network.log_cdf[first : first + size, n])
            key = {network.causes[n]: on for on, n in zip(states, parents, strict=True)}
            net.cpt(node)[key] = np.diff(cdf, prepend=0.0).tolist()
    engine = pyagrum.LazyPropagation(net)
    engine.setEvidence(evidence)
    engine.makeInference()
    return [float(engine.posterior(name)[1]) for name in network.causes]


@pytest.mark.parametrize("seed", range(12))
@pytest.mark.parametrize("causes", [1, 2, 4, 7])
def test_random_networks_agree_with_the_library(mower: RuleBase, seed: int, causes: int) -> None:
    """Any number of causes at work, binary and graded nodes, to 1e-9."""
    rng = np.random.default_rng([seed, causes])
    rules = random_rules(mower, rng, causes)
    network = build_network(rules)
    evidence = {
        node: int(rng.integers(network.sizes[node])) for node in network.nodes if rng.random() < 0.6
    }
    seen = [
        Evidence("node", node, rules.nodes[node].states[state], (node,))
        for node, state in evidence.items()
    ]
    question = Weigher(rules, network).question(seen, np.ones(causes, dtype=np.bool_))
    theirs = library_posterior(network, evidence)
    assert chances_of(question).marginal == pytest.approx(theirs, abs=1e-9)


def test_the_whole_pack_agrees_with_the_library(offroad_assessor: Assessor) -> None:
    """Every cause of the off-road pack, any number of them at work, on worked cases, to 1e-9."""
    beliefs = simple_cases(offroad_assessor, 40, most_nodes=3)
    assert len(beliefs) >= 4
    for belief in beliefs:
        engine, applies = library_engine(offroad_assessor, belief)
        theirs = library_marginals(engine, applies)
        assert belief.marginal[applies] == pytest.approx(theirs, abs=1e-9)
