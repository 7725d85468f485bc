"""Posteriors against a general library for Bayesian networks, with full tables."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pyagrum
import pytest
from diagnose.inference.cause_sets import Bystanders, Floats, cause_sets

from diagnose.advice.assessor import Assessor
from diagnose.case.events import Case, Complained
from diagnose.inference.network import Network
from diagnose.inference.posterior import Model, normalised
from rules.loading.loader import load_pack
from tests.oracles.library_network import library_engine, library_marginals, simple_cases
from tests.published.fever import PRIORS, fever_pack


def test_fever_posteriors_agree_with_the_library(tmp_path: Path) -> None:
    model = Model(load_pack(fever_pack(tmp_path)), 3)
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


def random_network(rng: np.random.Generator, causes: int, sizes: Sequence[int]) -> Network:
    """Random priors and noisy-MAX tables with a leak."""
    priors = rng.uniform(0.02, 0.4, causes)
    names = tuple(f"c{n}" for n in range(causes))
    nodes = tuple(f"n{n}" for n in range(len(sizes)))
    firsts = np.cumsum([0, *sizes[:-1]])

    def log_cdf(size: int) -> Floats:
        return np.asarray(np.log(np.cumsum(rng.dirichlet(np.ones(size)))))

    table = np.zeros((sum(sizes), causes))
    for first, size in zip(firsts, sizes, strict=True):
        for cause in range(causes):
            if rng.random() < 0.7:
                table[first : first + size, cause] = log_cdf(size)
    leaks = np.concatenate([log_cdf(size) for size in sizes])
    lasts = [first + size - 1 for first, size in zip(firsts, sizes, strict=True)]
    table[lasts] = leaks[lasts] = 0.0
    return Network(
        names,
        {name: n for n, name in enumerate(names)},
        np.log(priors) - np.log1p(-priors),
        np.log1p(-priors),
        nodes,
        dict(zip(nodes, firsts.tolist(), strict=True)),
        dict(zip(nodes, sizes, strict=True)),
        table,
        leaks,
    )


def library_posterior(network: Network, evidence: dict[str, int], most: int | None) -> list[float]:
    """The same network with full tables in the library; `most` adds 'at most so many causes'."""
    net = pyagrum.BayesNet()
    for n, name in enumerate(network.causes):
        absent = float(np.exp(network.log_absent[n]))
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
    if most is not None:
        net.add("few", 2)
        for name in network.causes:
            net.addArc(name, "few")
        for states in itertools.product((0, 1), repeat=len(network.causes)):
            few = float(sum(states) <= most)
            net.cpt("few")[dict(zip(network.causes, states, strict=True))] = [1 - few, few]
        evidence = {**evidence, "few": 1}
    engine = pyagrum.LazyPropagation(net)
    engine.setEvidence(evidence)
    engine.makeInference()
    return [float(engine.posterior(name)[1]) for name in network.causes]


@pytest.mark.parametrize("seed", range(12))
@pytest.mark.parametrize(("causes", "width"), [(2, 2), (3, 3), (6, 2), (6, 3)])
def test_random_networks_agree_with_the_library(seed: int, causes: int, width: int) -> None:
    """Two- and three-cause sets, binary and graded nodes, bystanders and all, to 1e-9."""
    rng = np.random.default_rng([seed, causes, width])
    network = random_network(rng, causes, [2, 3, 2, 4])
    evidence = {
        node: int(rng.integers(network.sizes[node])) for node in network.nodes if rng.random() < 0.5
    }
    apart = network.touches(evidence)
    sets = cause_sets(causes, width, np.flatnonzero(apart))
    beside = Bystanders(np.where(apart, 0.0, np.exp(network.log_odds)), sets.room)
    log_weights = network.log_prior(sets, np.ones(causes, dtype=np.bool_))
    log_weights = log_weights + np.log(beside.totals())
    for node, state in evidence.items():
        log_weights = log_weights + network.log_likelihood(sets, node, state)
    weights = normalised(log_weights)
    ours = sets.marginals(weights) + beside.marginals(weights)
    theirs = library_posterior(network, evidence, None if causes == width else width)
    assert ours == pytest.approx(theirs, abs=1e-9)


def test_the_whole_pack_agrees_with_the_library(offroad_assessor: Assessor) -> None:
    """Every cause of the off-road pack, at most two at once, on worked cases, to 1e-9."""
    beliefs = simple_cases(offroad_assessor, 40, most_nodes=3)
    assert len(beliefs) >= 4
    for belief in beliefs:
        engine, applies = library_engine(offroad_assessor, belief)
        theirs = library_marginals(engine, applies)
        assert belief.marginal[applies] == pytest.approx(theirs, abs=1e-9)
