"""A machine with a hidden truth, drawn from the same model that judges it.

Every cause's part in every observation is drawn once, so a machine asked twice answers the same and
a correction takes away only what the corrected causes had produced. All randomness comes from the
seed, through numpy's PCG64, whose stream is the same on every machine.
"""

from __future__ import annotations

import zlib
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from diagnose.case import Answered, Case, Complained, RideReport, machine_traits, target_of
from diagnose.evidence import nodes_of
from diagnose.findings import reading_bands
from rules.quantities import Quantity, parse_quantity
from rules.rulebase import Node, RuleBase
from rules.schema import Cause, Observation


@dataclass(frozen=True, slots=True)
class Truth:
    """What is really wrong, and what the rider noticed."""

    causes: tuple[str, ...]
    complaint: Complained
    machine: Mapping[str, str]


class SimulatedMachine:
    """Answers for a machine whose causes are known only here."""

    def __init__(self, rules: RuleBase, truth: Truth, seed: int) -> None:
        self.truth = truth
        self._rules = rules
        self._seed = seed
        self._links = {(link.cause, link.node): link.chances for link in rules.links}
        self._fixed: frozenset[str] = frozenset()
        self._behind = self._causes_that_fired()

    def answer(self, observation: str) -> Answered:
        """What making this observation now would show; 'don't know' where the model has no say."""
        entry = self._rules.observations[observation]
        node = self._rules.nodes.get(observation)
        if node is None:
            return Answered(observation)
        state = self._state(node)
        if entry.kind != "measurement":
            return Answered(observation, state=state)
        return Answered(observation, reading=self._reading(observation, entry, state))

    def state_of(self, observation: str) -> str:
        """The state behind the answer. Raises `KeyError` where the model has no say."""
        return self._state(self._rules.nodes[observation])

    def correct(self, correction: str) -> None:
        """Carry a correction out: every cause that it puts right is gone."""
        gone = {c for c in self.truth.causes if self._rules.causes[c].correction == correction}
        self._fixed |= gone

    def ride(self, before: frozenset[str]) -> RideReport:
        """What the rider reports, given which causes had been put right at the ride before."""
        left = self._behind - self._fixed
        helped = (self._behind & self._fixed) - before
        column = 0 if not left else (1 if helped else 2)
        rows = list(self._rules.policy.ride_report.items())
        chances = np.array([shares[column] for _, shares in rows])
        rng = self._rng("ride", *sorted(self._fixed))
        return rows[int(rng.choice(len(rows), p=chances / chances.sum()))][0]

    @property
    def fixed(self) -> frozenset[str]:
        """The true causes that have been put right."""
        return self._fixed

    @property
    def is_cured(self) -> bool:
        """Whether nothing is left that produces the complaint."""
        return not self._behind - self._fixed

    def _rng(self, *words: str) -> np.random.Generator:
        key = zlib.crc32("\0".join(words).encode())
        return np.random.default_rng([self._seed, key])

    def _causes_that_fired(self) -> frozenset[str]:
        """The true causes whose links really produced the complaint; all able ones if none did."""
        nodes = nodes_of(self._rules, self.truth.complaint)
        able = [c for c in self.truth.causes if any((c, node) in self._links for node in nodes)]
        fired = [c for c in able if any(self._shown(c, node) > 0 for node in nodes)]
        return frozenset(fired or able)

    def _shown(self, cause: str, node: str) -> int:
        """The state this cause alone produces; the same draw for as long as the case lasts."""
        chances = self._links.get((cause, node))
        return 0 if chances is None else _draw(self._rng("shows", cause, node), chances)

    def _state(self, node: Node) -> str:
        seen = _draw(self._rng("background", node.id), node.background)
        for cause in self.truth.causes:
            if cause not in self._fixed:
                seen = max(seen, self._shown(cause, node.id))
        return node.states[seen]

    def _reading(self, name: str, entry: Observation, state: str) -> Quantity:
        """A reading somewhere in the state's band, as an instrument of no great precision shows."""
        assert entry.unit is not None and entry.limits is not None
        case = Case(self.truth.machine)
        target = target_of(self._rules, case, entry.target)[0] if entry.target else None
        least, most = (
            parse_quantity(text, entry.unit).to(entry.unit).value for text in entry.limits
        )
        low, high = next(
            (max(low, least), min(high, most))
            for _, banded, low, high in reading_bands(entry, target)
            if banded == state
        )
        # readings crowd near the limit rather than spread to the ends of the instrument
        span = min(high - low, max(abs(target.to(entry.unit).value), 1.0) if target else high - low)
        near = low if low > least else high - span
        share = 0.15 + 0.7 * self._rng("reading", name, state).random()
        return Quantity(round(near + share * span, 3), entry.unit)


def _draw(rng: np.random.Generator, chances: tuple[float, ...]) -> int:
    at = np.searchsorted(np.cumsum(chances), rng.random(), side="right")
    return min(int(at), len(chances) - 1)


def applies(cause: Cause, machine: Mapping[str, str]) -> bool:
    """Whether a machine with these traits can have the cause."""
    return all(machine[trait] in options for trait, options in cause.needs.items())


def draw_truth(
    rules: RuleBase, seed: int, machine: Mapping[str, str] | None = None, most: int = 2
) -> Truth:
    """Causes from their priors, given one to `most` of them and that the rider feels something."""
    traits = machine_traits(rules, Case(machine or {}))
    rng = np.random.default_rng([seed, 0])
    possible = [key for key, cause in rules.causes.items() if applies(cause, traits)]
    priors = np.array([rules.causes[key].per_100 / 100 for key in possible])
    links = {(link.cause, link.node): link.chances for link in rules.links}
    nodes = [node for node in rules.nodes.values() if node.kind == "complaint"]
    while True:
        causes = tuple(np.array(possible)[rng.random(len(possible)) < priors].tolist())
        if not 1 <= len(causes) <= most:
            continue
        felt = [
            node.id
            for node in nodes
            if any(
                (cause, node.id) in links and _draw(rng, links[(cause, node.id)]) > 0
                for cause in causes
            )
        ]
        if felt:
            name, _, place = felt[int(rng.integers(len(felt)))].partition("/")
            return Truth(causes, Complained(name, place or None), traits)
