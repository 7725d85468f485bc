"""Posteriors against a general-purpose Bayesian-network library and a textbook table."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pyagrum
import pytest

from diagnose.case.events import Case, Complained, read_answer
from diagnose.diagnosis import Workshop
from diagnose.inference.cause_sets import Bystanders, Floats, cause_sets
from diagnose.inference.network import Network, log_difference
from diagnose.inference.posterior import Model, normalised
from rules.loading.loader import load_pack
from tests.oracles.library_network import library_engine, library_marginals, simple_cases
from tests.places import MOWER

# Russell and Norvig, Artificial Intelligence: A Modern Approach, section on efficient representation
# of conditional distributions: fever from cold, flu and malaria with inhibitions 0.6, 0.2 and 0.1
# (as quoted in course slides). The priors are our own.
FEVER = {
    (): 0.0,
    ("malaria",): 0.9,
    ("flu",): 0.8,
    ("flu", "malaria"): 0.98,
    ("cold",): 0.4,
    ("cold", "malaria"): 0.94,
    ("cold", "flu"): 0.88,
    ("cold", "flu", "malaria"): 0.988,
}
PRIORS = {"cold": 0.2, "flu": 0.1, "malaria": 0.01}


def fever_pack(folder: Path) -> Path:
    """The textbook network written as a pack, with a scale whose words are its numbers."""
    links = {"cold": "w40", "flu": "w80", "malaria": "w90"}
    causes = "\n".join(
        f"  {name}: {{title: {name}, group: g, what: x, per_100: {PRIORS[name] * 100}, "
        f"shows: {{fever: {word}}}, shows_source: book, correction: rest, source: book}}"
        for name, word in links.items()
    )
    mower = (MOWER / "pack.yaml").read_text(encoding="utf-8")
    policy = mower[mower.index("policy:") : mower.index("sources:")]
    policy = policy.replace("[clear-ground]", "[]").replace("made-up", "book")
    text = f"""
pack: {{id: fever, title: Fever, version: "1", format: 1, about: A textbook example.}}
scale:
  words: {{never: [0, 0], w40: [0.4, 0.4], w80: [0.8, 0.8], w90: [0.9, 0.9]}}
  source: book
{policy}
sources:
  book: {{kind: published, author: S. Russell and P. Norvig, title: Artificial Intelligence, year: 2010, seen: as quoted elsewhere}}
complaints:
  fever: {{title: Fever, background: never, source: book}}
causes:
{causes}
corrections:
  rest: {{title: Rest, steps: [Rest.], minutes: 1, who: home mechanic, goes_wrong: x, proof: x, source: book}}
"""
    (folder / "pack.yaml").write_text(text, encoding="utf-8")
    return folder


def test_the_textbook_fever_table(tmp_path: Path) -> None:
    model = Model(load_pack(fever_pack(tmp_path)), 3)
    sets = cause_sets(3, 3)
    chances = np.exp(model.network.log_likelihood(sets, "fever", 1))
    for members, chance in zip(sets.members, chances, strict=True):
        present = tuple(sorted(model.network.causes[i] for i in members if i < 3))
        assert chance == pytest.approx(FEVER[present], abs=1e-12)


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


def test_the_whole_pack_agrees_with_the_library(offroad_shop: Workshop) -> None:
    """Every cause of the off-road pack, at most two at once, on worked cases, to 1e-9."""
    beliefs = simple_cases(offroad_shop, 40, most_nodes=3)
    assert len(beliefs) >= 4
    for belief in beliefs:
        engine, applies = library_engine(offroad_shop, belief)
        theirs = library_marginals(engine, applies)
        assert belief.marginal[applies] == pytest.approx(theirs, abs=1e-9)


def test_log_difference_keeps_small_probabilities() -> None:
    """ln(e^a - e^b) against exact arithmetic of tiny gaps, where plain subtraction gives nought."""
    larger = np.array([-1e-18, np.log(0.3), 0.0])
    smaller = np.array([-50.0, np.log(0.3), -1e-17])
    expected = [0.0, -np.inf, np.log(1e-17)]
    assert log_difference(larger, smaller) == pytest.approx(expected, abs=1e-12)


def test_unlinked_causes_keep_their_prior_and_rivals_are_explained_away(tmp_path: Path) -> None:
    """Pearl's explaining away: a second sufficient cause takes blame from the first."""
    folder = fever_pack(tmp_path)
    text = (folder / "pack.yaml").read_text(encoding="utf-8")
    text = text.replace("{fever: w80}", "{fever: w80, swab: w90}").replace(
        "causes:\n",
        "observations:\n  swab: {kind: question, ask: Swab?, background: never, minutes: 1, source: book}\ncauses:\n",
        1,
    )
    (folder / "pack.yaml").write_text(text, encoding="utf-8")
    rules = load_pack(folder)
    model = Model(rules, 3)
    alone = model.believe(Case(events=(Complained("fever"),))).marginal
    swabbed = model.believe(
        Case(events=(Complained("fever"), read_answer(rules, "swab", "yes")))
    ).marginal
    assert swabbed[1] == pytest.approx(1.0)
    assert swabbed[0] < alone[0]
