"""Which facts of a case are evidence, and what each asks the causes to explain."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Literal

import numpy as np

from diagnose.case.events import (
    RIDE_REPORTS,
    Answered,
    Case,
    Complained,
    Corrected,
    Ride,
    Standing,
    standing,
)
from diagnose.case.figures import Figure, figure_of
from diagnose.findings.concluding import Findings, FindingsEngine, Raised
from diagnose.inference.network import Network
from diagnose.inference.terms import Flags, Floats, Piece
from rules.language.conditions import leaves
from rules.language.schema import Rule
from rules.rulebase import Node, RuleBase, complaint_nodes

MOST_RIDES = 8
"""Of the rides about one complaint the latest so many are weighed; what was put right before them
counts with the first of those."""


@dataclass(frozen=True, slots=True)
class Evidence:
    """One piece of evidence: nodes in states (any of the nodes, for a complaint whose place is not
    known), or a ride report, with the corrections that had been carried out by then. `detail` is
    the number behind a computed finding. `settles` are the causes that it shows by itself, `clears`
    those it shows not to be there. `weight` is how much of it counts, less than 1 for a reading
    that cannot be judged without the bike's own figure; `by_kind`: no ban may rest on it."""

    kind: Literal["node", "complaint", "ride"]
    key: str
    state: str
    nodes: tuple[str, ...] = ()
    corrected: tuple[str, ...] = ()
    ride: Ride | None = None
    detail: str = ""
    settles: tuple[str, ...] = ()
    clears: tuple[str, ...] = ()
    weight: float = 1.0
    by_kind: bool = False


def gather(engine: FindingsEngine, rules: RuleBase, case: Case) -> tuple[Findings, list[Evidence]]:
    """The findings as they stand, and all evidence so far.

    A correction changes the machine, so what was found before it stays evidence about the machine
    as it was. Raises `diagnose.findings.engine.EngineError`.
    """
    evidence: list[Evidence] = []
    seen: dict[str, str] = {}
    lasting: dict[Raised, int] = {}
    begin = 0
    for end in _epoch_ends(case):  # at least the end
        said, begin = case.events[begin:end], end
        if end < len(case.events) and not any(isinstance(e, Answered | Complained) for e in said):
            continue  # nothing was found between two corrections
        part = Case(case.machine, case.targets, case.events[:end])
        now = standing(part)
        findings = engine.conclude(part, now)
        evidence += _epoch_evidence(rules, part, now, findings, engine, seen)
        seen = dict(findings.states)
        for raised in findings.do_not_ride:
            if rules.rules[raised.rule].then.until:
                lasting.setdefault(raised, len(now.corrections))
    now = standing(case)
    if lasting:
        findings = replace(findings, do_not_ride=_bans_left(rules, case, findings, lasting))
    for number, ride in enumerate(now.rides, 1):
        if ride.about is not None:
            nodes = nodes_of(rules, ride.about)
            evidence.append(
                Evidence("ride", f"ride {number}", ride.report, nodes, ride.corrected, ride)
            )
    return findings, evidence


def _bans_left(
    rules: RuleBase, case: Case, findings: Findings, lasting: Mapping[Raised, int]
) -> tuple[Raised, ...]:
    """The reasons not to ride, with those that stand until certain work was done. `lasting` holds
    after how many corrections each of these was first raised."""
    left = {raised for raised in findings.do_not_ride if raised not in lasting}
    made = standing(case).corrections
    for raised, first in lasting.items():
        rule = rules.rules[raised.rule]
        since = max(first, _last_found_so(rules, case, rule))
        if not set(rule.then.until) & set(made[since:]):
            left.add(raised)
    return tuple(sorted(left, key=lambda raised: raised.rule))


def _last_found_so(rules: RuleBase, case: Case, rule: Rule) -> int:
    """After how many corrections something that a rule wants was last found so, or a ride still
    reported it. What shows a fault that nobody has put right since is found once only: oil that was
    not cleaned off is no new oil."""
    wanted = {leaf.fact: leaf.is_ for leaf, _ in leaves(rule.when) if leaf.fact is not None}
    found: dict[str, int] = {}
    made: list[str] = []
    for event in case.events:
        if isinstance(event, Corrected):
            made.append(event.correction)
        elif isinstance(event, Answered) and event.state in wanted.get(event.observation, ()):
            name = event.observation
            mends = {rules.causes[c].correction for c in rules.observations[name].settles}
            is_old = name in found and mends and mends.isdisjoint(made[found[name] :])
            found[name] = found[name] if is_old else len(made)
    for ride in standing(case).rides:
        if ride.about is not None and ride.report != "gone" and ride.about.key in wanted:
            found[ride.about.key] = len(ride.corrected)
    return max(found.values(), default=0)


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
    case: Case,
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
            settles, clears = settled_by(rules, case, findings.states, name, state)
            by_kind = not findings.by_kind.isdisjoint(sources)
            yield Evidence(
                "node", name, state, (name,), current, None, detail, settles, clears, 1.0, by_kind
            )
    for name, held in findings.unjudged.items():
        counts = name in fresh and name not in findings.not_applicable and held.weight > 0
        if counts and name in rules.nodes:
            yield Evidence(
                "node", name, held.state, (name,), current, weight=held.weight, by_kind=True
            )


def settled_by(
    rules: RuleBase, case: Case, states: Mapping[str, str], name: str, state: str
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The causes that an observation in a state settles and those it clears, among the `states` of
    all else that is known.

    By a figure that is not the bike's own only what no bike of the kind is built to is settled, and
    nothing is cleared; and looking at something once and finding nothing clears it less than a
    figure does, so only readings clear.
    """
    entry = rules.observations.get(name)
    if entry is None or not entry.settles:
        return (), ()
    if entry.target is not None:
        figure = figure_of(rules, case, entry.target)
        if not figure.is_own and not _is_beyond(figure, standing(case).answers.get(name)):
            return (), ()
    if state == entry.normal:
        return (), tuple(entry.settles) if entry.kind == "measurement" else ()
    if any(_still(rules, case, states, *other) for other in entry.unsettled_by.items()):
        return (), ()
    return tuple(cause for cause, shown in entry.settles.items() if state in shown), ()


def _still(
    rules: RuleBase, case: Case, states: Mapping[str, str], name: str, wanted: Collection[str]
) -> bool:
    """Whether an answer is in one of the wanted states and nothing that it shows has been put right
    since."""
    if states.get(name) not in wanted:
        return False
    now = standing(case)
    since = now.done_since(name)
    return not any(
        name in cause.shows and cause.correction in since for cause in rules.causes.values()
    )


def _is_beyond(figure: Figure, answer: Answered | None) -> bool:
    return answer is not None and answer.reading is not None and figure.is_beyond(answer.reading)


@dataclass(frozen=True, slots=True)
class Question:
    """What a case asks of the causes: their odds once everything seen in its normal state is
    counted, and the pieces that need explaining. `seen` holds the odds below which no cause falls
    that was seen itself and by nothing cleared, 0 for the others."""

    odds: Floats
    pieces: tuple[Piece, ...]
    seen: Floats = field(default_factory=lambda: np.zeros(1))


def _weight(piece: Piece, cause: int) -> float:
    """What a finding adds to a cause's log odds where nothing else could show it: taken out of a
    settled cause, so that it ends at the reading's own trust."""
    leak = float(piece.background[0])
    return math.log1p(-leak * float(piece.quiet[0, cause])) - math.log(max(1 - leak, 1e-3))


class Weigher:
    """Turns evidence into odds and pieces, for one pack."""

    def __init__(self, rules: RuleBase, network: Network) -> None:
        self._rules = rules
        self._network = network
        fixed: dict[str, list[int]] = {}
        for cause, entry in rules.causes.items():
            fixed.setdefault(entry.correction, []).append(network.cause_index[cause])
        self._fixed = fixed
        self._trust = {
            kind: math.log(trust) - math.log1p(-trust)
            for kind, trust in rules.policy.reading_trust.items()
        }
        self._report = np.array([rules.policy.ride_report[name] for name in RIDE_REPORTS])

    def gone(self, corrections: tuple[str, ...]) -> Flags:
        """Which causes these corrections put right, as flags over causes."""
        flags = np.zeros(len(self._network.causes), dtype=np.bool_)
        for correction in corrections:
            flags[self._fixed[correction]] = True
        return flags

    def found_again(self, evidence: Iterable[Evidence], corrections: tuple[str, ...]) -> Flags:
        """Which causes were last found after they had been put right, and not put right once more
        since, as flags over causes. `corrections` are all that were made."""
        flags = np.zeros(len(self._network.causes), dtype=np.bool_)
        latest = {item.key: item for item in evidence if item.kind == "node"}
        for item in latest.values():
            again = self._flags(item.settles) & self.gone(item.corrected)
            flags |= again & ~self.gone(corrections[len(item.corrected) :])
        return flags

    def _flags(self, causes: Iterable[str]) -> Flags:
        flags = np.zeros(len(self._network.causes), dtype=np.bool_)
        flags[[self._network.cause_index[cause] for cause in causes]] = True
        return flags

    def _trust_in(self, item: Evidence) -> float:
        """Log odds that what an observation settles is so."""
        return self._trust[self._rules.observations[item.key].kind]

    def able(self, evidence: Iterable[Evidence]) -> Flags:
        """Which causes can produce at least one of the complaints, as flags over causes."""
        nodes = [node for item in evidence if item.kind == "complaint" for node in item.nodes]
        return self._network.touches(nodes)

    def question(self, evidence: Iterable[Evidence], applies: Flags) -> Question:
        """What the evidence asks; `applies` flags the causes that this bike can have."""
        network = self._network
        log_odds = np.where(applies, network.log_odds, -np.inf)
        settled: dict[int, float] = {}
        seen = np.zeros(len(network.causes))
        cleared: list[str] = []
        pieces: list[Piece] = []
        rides: dict[str, list[Ride]] = {}
        complaints: list[Evidence] = []
        for item in evidence:
            if item.kind == "ride":
                assert item.ride is not None and item.ride.about is not None
                rides.setdefault(item.ride.about.key, []).append(item.ride)
            elif item.kind == "complaint":
                complaints.append(item)
            else:
                log_odds, piece = self._seen(item, log_odds)
                cleared += item.clears
                if piece is not None:
                    pieces.append(piece)
                    for cause in np.flatnonzero(self._flags(item.settles) & applies).tolist():
                        trust = self._trust_in(item)
                        settled[cause] = settled.get(cause, trust) - _weight(piece, cause)
                        seen[cause] = max(seen[cause], math.exp(trust))
        pieces += [self._felt(item, rides.get(item.key, [])[-MOST_RIDES:]) for item in complaints]
        for cause, own in settled.items():
            log_odds[cause] = own
        seen[self._flags(cleared)] = 0.0
        return Question(np.exp(log_odds), tuple(pieces), seen)

    def thinned_by(self, item: Evidence, evidence: Iterable[Evidence]) -> Floats | None:
        """What a node seen in its normal state, among all the evidence, multiplies the odds of each
        cause by; None for any other evidence, and for what clears a cause."""
        node = self._rules.nodes.get(item.key)
        is_normal = item.kind == "node" and node is not None and item.state == node.states[0]
        if node is None or not is_normal or item.clears:
            return None
        row = self._network.log_cdf[self._network.first_row[node.id]]
        untouched = self.gone(item.corrected)
        for other in evidence:  # what is settled has odds of its own
            untouched |= self._flags(other.settles)
        return np.asarray(np.exp(item.weight * np.where(untouched, 0.0, row)))

    def _seen(self, item: Evidence, log_odds: Floats) -> tuple[Floats, Piece | None]:
        """What a node in a state does to the odds, and what of it needs explaining."""
        network, node = self._network, self._rules.nodes[item.nodes[0]]
        if item.weight < 1 and item.state != node.states[0]:
            return log_odds, self._leaning(item, node)
        row = network.first_row[node.id] + node.index(item.state)
        alive = ~self.gone(item.corrected)
        up_to = np.where(alive, network.log_cdf[row], 0.0)
        if item.clears:
            cleared = self._flags(item.clears) & alive
            up_to = np.where(cleared, np.minimum(up_to, -self._trust_in(item)), up_to)
        log_odds = log_odds + item.weight * up_to
        if item.state == node.states[0]:
            return log_odds, None
        below = np.where(alive, network.log_cdf[row - 1], 0.0)
        possible = np.isfinite(up_to)
        quiet = np.exp(np.where(possible, below - np.where(possible, up_to, 0.0), 0.0))
        leak = np.exp(network.log_leak[row - 1] - network.log_leak[row])
        return log_odds, Piece(quiet[None, :], np.array([leak]), np.array([1 - item.weight, 1.0]))

    def _leaning(self, item: Evidence, node: Node) -> Piece:
        """A reading that cannot be judged speaks only for the side it lies on, how far off it may
        be: as one finding, made or not, of which only its weight counts."""
        network, entry = self._network, self._rules.observations[node.id]
        side = next(band.above is None for band in entry.bands if band.state == item.state)
        speaks, leak = np.zeros(len(network.causes)), 0.0
        for band in entry.bands:
            if (band.above is None) == side:
                row = network.first_row[node.id] + node.index(band.state)
                speaks += np.exp(network.log_cdf[row]) - np.exp(network.log_cdf[row - 1])
                leak += float(np.exp(network.log_leak[row]) - np.exp(network.log_leak[row - 1]))
        quiet = np.where(self.gone(item.corrected), 1.0, 1 - speaks)
        return Piece(quiet[None, :], np.array([1 - leak]), np.array([1 - item.weight, 1.0]))

    def _felt(self, item: Evidence, rides: list[Ride]) -> Piece:
        """A complaint and every ride about it.

        What made the complaint goes on making it until it is put right (persistence, after Breese
        and Heckerman 1996, from memory). A bit for what each group of corrections put right, and
        one for the rest and the background, so that all rides share what was at work before them.
        """
        network = self._network
        rows = [network.first_row[node] for node in item.nodes]
        silent = network.log_cdf[rows].sum(axis=0)
        leak = float(np.exp(network.log_leak[rows].sum()))
        before = self.gone(item.corrected)
        quiet, background = [], []
        for ride in rides:
            after = self.gone(ride.corrected)
            quiet.append(np.exp(np.where(after & ~before, silent, 0.0)))
            background.append(1.0)
            before = before | after
        quiet.append(np.exp(np.where(before, 0.0, silent)))
        background.append(leak)
        return Piece(np.array(quiet), np.array(background), self._reported(rides))

    def _reported(self, rides: list[Ride]) -> Floats:
        """Likelihood of the reports, given which groups made the complaint: 2 to the bits."""
        bits = len(rides) + 1
        weights = np.zeros(1 << bits)
        for made in range(1, 1 << bits):
            weight = 1.0
            for number, ride in enumerate(rides):
                row = self._report[RIDE_REPORTS.index(ride.report)]
                had_part, more_left = bool(made >> number & 1), bool(made >> (number + 1))
                weight *= row[(0 if had_part else 3) if not more_left else (1 if had_part else 2)]
            weights[made] = weight
        return weights
