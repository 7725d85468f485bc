"""Posterior over cause sets, and what it says: ranked causes, why, and what would change it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from diagnose.case.events import Case, standing
from diagnose.findings.concluding import Findings, FindingsEngine
from diagnose.inference.cause_sets import Bystanders, CauseSets, Flags, Floats, cause_sets
from diagnose.inference.evidence import Evidence, Weigher, gather
from diagnose.inference.network import Network, build_network
from rules.problems import BadInput
from rules.rulebase import RuleBase

DEFAULT_CAUSES_AT_ONCE = 2
MOST_CAUSES_AT_ONCE = 3
NOTICEABLE = 0.05  # below a tenth of a deciban is nothing anybody could notice


@dataclass(frozen=True, slots=True)
class Weight:
    """What one piece of evidence does to one cause, in decibans (ten log10 of the odds factor)."""

    evidence: Evidence
    decibans: float


@dataclass(frozen=True, slots=True)
class RankedCause:
    """A cause with the probability that it is behind this ride.

    `relevant` is False for a cause that can produce none of the complaints and has not been found
    by other means. `decibans` (one per piece of evidence) compares the odds with it in and struck
    out.
    """

    cause: str
    probability: float
    prior: float
    corrected: bool
    relevant: bool
    evidence: tuple[Evidence, ...]
    decibans: tuple[float, ...]

    @property
    def weights(self) -> tuple[Weight, ...]:
        """What each piece of evidence does to it, strongest first, the unnoticeable left out."""
        items = [
            Weight(item, db)
            for item, db in zip(self.evidence, self.decibans, strict=True)
            if abs(db) >= NOTICEABLE
        ]
        return tuple(sorted(items, key=lambda w: (-abs(w.decibans), w.evidence.key)))

    @property
    def supporting(self) -> tuple[Weight, ...]:
        """Evidence that makes it likelier."""
        return tuple(w for w in self.weights if w.decibans > 0)

    @property
    def opposing(self) -> tuple[Weight, ...]:
        """Evidence that makes it less likely."""
        return tuple(w for w in self.weights if w.decibans < 0)


@dataclass(frozen=True, slots=True)
class Ranking:
    """Causes from most to least probable, and the chance that nothing listed explains it."""

    causes: tuple[RankedCause, ...]
    nothing_listed: float

    def find(self, cause: str) -> RankedCause:
        """The entry of one cause. Raises `KeyError`."""
        for entry in self.causes:
            if entry.cause == cause:
                return entry
        raise KeyError(cause)


@dataclass(frozen=True, slots=True)
class Belief:
    """The posterior of one case: everything later steps need.

    `sets` tells apart the causes that some evidence bears on; `bystanders` are the others.
    `posterior` (one value per set, whatever bystanders are there) adds up to 1; `marginal` holds
    one probability per cause. `gone` flags causes already put right, `relevant` those that matter
    for the complaints (never a bystander).
    """

    case: Case
    findings: Findings
    evidence: tuple[Evidence, ...]
    sets: CauseSets
    bystanders: Bystanders
    posterior: Floats
    likelihoods: Floats
    prior: Floats
    marginal: Floats
    gone: Flags
    relevant: Flags

    @property
    def matters(self) -> Flags:
        """Causes that may still be there and matter."""
        return np.asarray(self.relevant & ~self.gone)

    @property
    def open_marginal(self) -> Floats:
        """Probability of each cause that matters still being there; 0 for the others."""
        return np.where(self.matters, self.marginal, 0.0)

    def marginals(self, weights: Floats) -> Floats:
        """Weight of each cause, bystanders and all: (..., sets) -> (..., causes)."""
        return self.sets.marginals(weights) + self.bystanders.marginals(weights)


class ImpossibleEvidence(BadInput):
    """No cause set, not even the empty one, could give these facts."""


class Model:
    """A pack ready for work: rules compiled and network built once."""

    def __init__(self, rules: RuleBase, causes_at_once: int = DEFAULT_CAUSES_AT_ONCE) -> None:
        if not 1 <= causes_at_once <= MOST_CAUSES_AT_ONCE:
            raise ValueError(f"causes at once: 1 to {MOST_CAUSES_AT_ONCE}, not {causes_at_once}")
        self.rules = rules
        self.network: Network = build_network(rules)
        self.causes_at_once = causes_at_once
        self.findings = FindingsEngine(rules)
        self.weigher = Weigher(rules, self.network)

    def believe(self, case: Case) -> Belief:
        """The posterior of a case. Raises `ImpossibleEvidence` and `EngineError`."""
        findings, evidence = gather(self.findings, self.rules, case)
        network = self.network
        gone = self.weigher.gone(standing(case).corrections)
        applies = np.array([cause not in findings.not_applicable for cause in network.causes])
        # what is likelier than not to begin with is told apart too, so that it can count as found
        apart = applies & (self.weigher.touched(evidence) | gone | (network.log_odds > 0))
        sets = cause_sets(len(network.causes), self.causes_at_once, np.flatnonzero(apart))
        bystanders = Bystanders(
            np.where(applies & ~apart, np.exp(network.log_odds), 0.0), sets.room
        )
        prior = network.log_prior(sets, applies) + np.log(bystanders.totals())
        rows = [self.weigher.log_likelihood(sets, item) for item in evidence]
        likelihoods = np.array(rows).reshape(len(rows), len(sets))
        posterior = normalised(prior + likelihoods.sum(axis=0))
        marginal = sets.marginals(posterior) + bystanders.marginals(posterior)
        found = apart & (marginal >= self.rules.policy.settled)
        return Belief(
            case,
            findings,
            tuple(evidence),
            sets,
            bystanders,
            posterior,
            likelihoods,
            prior,
            marginal,
            gone,
            self.weigher.able(evidence) | found,
        )

    def rank(self, belief: Belief) -> Ranking:
        """Every applicable cause with its reasons: those that matter for the complaint first, then
        by probability (ties by id)."""
        marginal = belief.marginal
        prior = belief.marginals(normalised(belief.prior))
        weights = self._weights(belief, marginal).T.tolist()
        ranked = [
            RankedCause(
                cause,
                float(marginal[index]),
                float(prior[index]),
                bool(belief.gone[index]),
                bool(belief.relevant[index]),
                belief.evidence,
                tuple(weights[index]),
            )
            for index, cause in enumerate(self.network.causes)
            if cause not in belief.findings.not_applicable
        ]
        ranked.sort(key=lambda c: (c.corrected, not c.relevant, -c.probability, c.cause))
        return Ranking(tuple(ranked), nothing_left(belief))

    def _weights(self, belief: Belief, marginal: Floats) -> Floats:
        """Decibans of each piece of evidence (rows) for each cause (columns)."""
        total = belief.prior + belief.likelihoods.sum(axis=0)
        rows = []
        for likelihood in belief.likelihoods:
            with np.errstate(invalid="ignore"):
                struck = np.where(np.isneginf(likelihood), -np.inf, total - likelihood)
            rows.append(belief.marginals(normalised(struck)))
        without = np.array(rows).reshape(len(rows), len(marginal))
        return decibans(marginal) - decibans(without)


def normalised(log_weights: Floats) -> Floats:
    """exp(log_weights) scaled to add up to 1. Raises `ImpossibleEvidence` when all are zero."""
    top = float(np.max(log_weights))
    if math.isinf(top):
        raise ImpossibleEvidence("nothing in the rule base could give these facts together")
    weights = np.exp(log_weights - top)
    return np.asarray(weights / weights.sum())


def nothing_left(belief: Belief) -> float:
    """Probability that no listed cause is left to explain the complaint."""
    left = belief.sets.sums(belief.matters.astype(float))
    return float(belief.posterior[left == 0].sum())


def decibans(probability: Floats) -> Floats:
    """Ten log10 of the odds (I. J. Good, 1950, from memory)."""
    tiny = 1e-300
    odds = np.maximum(probability, tiny) / np.maximum(1 - probability, 1e-16)
    return np.asarray(10 * np.log10(odds))
