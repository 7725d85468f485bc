"""Which facts of a case are evidence, and how likely each is under every cause set."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Literal

import numpy as np

from diagnose.case.events import RIDE_REPORTS, Case, Complained, Corrected, Ride, Standing, standing
from diagnose.findings.concluding import Findings, FindingsEngine
from diagnose.inference.cause_sets import CauseSets, Flags, Floats
from diagnose.inference.network import Network, log_difference
from rules.rulebase import RuleBase, complaint_nodes


@dataclass(frozen=True, slots=True)
class Evidence:
    """One piece of evidence: nodes in states (any of the nodes, for a complaint whose place is not
    known), or a ride report, with the corrections that had been carried out by then. `detail` is
    the number behind a computed finding."""

    kind: Literal["node", "complaint", "ride"]
    key: str
    state: str
    nodes: tuple[str, ...] = ()
    corrected: tuple[str, ...] = ()
    ride: Ride | None = None
    detail: str = ""


def gather(engine: FindingsEngine, rules: RuleBase, case: Case) -> tuple[Findings, list[Evidence]]:
    """The findings as they stand, and all evidence so far.

    A correction changes the machine, so what was found before it stays evidence about the machine
    as it was. Raises `diagnose.findings.engine.EngineError`.
    """
    evidence: list[Evidence] = []
    seen: dict[str, str] = {}
    for end in _epoch_ends(case):  # at least the end
        part = Case(case.machine, case.targets, case.events[:end])
        now = standing(part)
        findings = engine.conclude(part, now)
        evidence += _epoch_evidence(rules, now, findings, engine, seen)
        seen = dict(findings.states)
    now = standing(case)
    for number, ride in enumerate(now.rides, 1):
        if ride.about is not None:
            nodes = nodes_of(rules, ride.about)
            evidence.append(
                Evidence("ride", f"ride {number}", ride.report, nodes, ride.corrected, ride)
            )
    return findings, evidence


def _epoch_ends(case: Case) -> list[int]:
    """Where the machine was changed, and the end."""
    changes = [n for n, event in enumerate(case.events) if isinstance(event, Corrected)]
    return [*changes, len(case.events)]


def nodes_of(rules: RuleBase, complained: Complained) -> tuple[str, ...]:
    """The nodes a complaint is about: one, or all its places when the rider cannot say."""
    if complained.place is not None:
        return (complained.key,)
    return complaint_nodes(complained.complaint, rules.complaints[complained.complaint])


def _epoch_evidence(
    rules: RuleBase,
    now: Standing,
    findings: Findings,
    engine: FindingsEngine,
    seen: dict[str, str],
) -> Iterator[Evidence]:
    current = now.corrections
    for complained in now.complaints:
        key = complained.key
        if key not in seen:
            seen[key] = "yes"
            yield Evidence("complaint", key, "yes", nodes_of(rules, complained), current)
    fresh = {name for name, epoch in now.corrected_by.items() if epoch == current}
    for name, state in findings.states.items():
        node = rules.nodes.get(name)
        if node is None or node.kind == "complaint" or name in findings.not_applicable:
            continue
        sources = engine.sources_of(name) if node.kind == "finding" else (name,)
        if fresh & set(sources):
            detail = str(findings.computed.get(name, ""))
            yield Evidence("node", name, state, (name,), current, detail=detail)


class Weigher:
    """Likelihoods of evidence over cause sets, for one pack."""

    def __init__(self, rules: RuleBase, network: Network) -> None:
        self._rules = rules
        self._network = network
        fixed: dict[str, list[int]] = {}
        for cause, entry in rules.causes.items():
            fixed.setdefault(entry.correction, []).append(network.cause_index[cause])
        self._fixed = fixed
        self._report = np.array([rules.policy.ride_report[name] for name in RIDE_REPORTS])

    def gone(self, corrections: tuple[str, ...]) -> Flags:
        """Which causes these corrections put right, as flags over causes."""
        flags = np.zeros(len(self._network.causes), dtype=np.bool_)
        for correction in corrections:
            flags[self._fixed[correction]] = True
        return flags

    def able(self, evidence: Iterable[Evidence]) -> Flags:
        """Which causes can produce at least one of the complaints, as flags over causes."""
        return self.touched(item for item in evidence if item.kind == "complaint")

    def touched(self, evidence: Iterable[Evidence]) -> Flags:
        """Which causes any of the evidence bears on, as flags over causes."""
        return self._network.touches(node for item in evidence for node in item.nodes)

    def log_likelihood(self, sets: CauseSets, item: Evidence) -> Floats:
        """ln P(item | set) for every set."""
        if item.kind == "ride":
            return self._ride(sets, item)
        left = sets.without(self.gone(item.corrected)) if item.corrected else sets
        if item.kind == "complaint":
            return self._present(left, item.nodes)
        node = self._rules.nodes[item.nodes[0]]
        return self._network.log_likelihood(left, node.id, node.index(item.state))

    def _absent(self, sets: CauseSets, nodes: tuple[str, ...]) -> Floats:
        """ln P(the complaint is felt at none of its places)."""
        total = np.zeros(len(sets))
        for node in nodes:
            total += self._network.log_cumulative(sets, node)[0]
        return total

    def _present(self, sets: CauseSets, nodes: tuple[str, ...]) -> Floats:
        return log_difference(np.zeros(len(sets)), self._absent(sets, nodes))

    def _ride(self, sets: CauseSets, item: Evidence) -> Floats:
        """ln P(report | the complaint was there before the correction, set).

        What made the complaint goes on making it until it is put right (persistence, after Breese
        and Heckerman 1996, from memory), so given that the complaint was there, either the
        corrected causes made it, or something left over did, or both.
        """
        assert item.ride is not None
        before = self._absent(sets.without(self.gone(item.ride.before)), item.nodes)
        after = self._absent(sets.without(self.gone(item.ride.corrected)), item.nodes)
        silent = np.exp(before - after)  # the corrected causes had no part in it
        left = -np.expm1(after)  # something left over has
        columns = np.stack([(1 - silent) * (1 - left), (1 - silent) * left, silent * left])
        row = RIDE_REPORTS.index(item.ride.report)
        with np.errstate(divide="ignore"):
            return np.asarray(np.log(self._report[row] @ columns) - np.log(-np.expm1(before)))
