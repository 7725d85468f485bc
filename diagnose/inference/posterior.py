"""How likely each cause is at work, whatever their number, and why."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from diagnose.case.events import Case, standing
from diagnose.findings.concluding import Findings, FindingsEngine
from diagnose.inference import recursion
from diagnose.inference.confirming import causes_by_check, checks_by_cause
from diagnose.inference.evidence import Evidence, Question, Weigher, gather
from diagnose.inference.network import Network, build_network
from diagnose.inference.terms import (
    Flags,
    Floats,
    Indices,
    Piece,
    Terms,
    TooManyTerms,
    connected,
    expand,
)
from rules.problems import BadInput
from rules.rulebase import RuleBase

NOTICEABLE = 0.05  # below a tenth of a deciban is nothing anybody could notice
MOST_RAISED = 3
"""Rounds in which the odds of what was seen are raised; one is exact for a single cause."""
MOST_TOGETHER = 13
"""Bits that are explained together exactly; the others of a larger group are weighed one by one."""


@dataclass(frozen=True, slots=True)
class Weight:
    """What one piece of evidence does to one cause, in decibans (ten log10 of the odds factor)."""

    evidence: Evidence
    decibans: float


class Reasons:
    """What each piece of evidence does to each cause, worked out when first looked at."""

    def __init__(self, model: Model, belief: Belief) -> None:
        self._model, self._belief = model, belief
        self._rows: dict[int, Floats] = {}

    @cached_property
    def decibans(self) -> Floats:
        """(evidence, causes): the odds with a piece of evidence in, against those without it."""
        belief = self._belief
        rows = [self.of(number) for number in range(len(belief.evidence))]
        return np.array(rows).reshape(len(rows), len(belief.marginal))

    def of(self, number: int) -> Floats:
        """The row of `decibans` for one piece of evidence."""
        if number not in self._rows:
            belief = self._belief
            without = self._without(belief.evidence[number])
            self._rows[number] = decibans(belief.marginal) - decibans(without)
        return self._rows[number]

    def _without(self, item: Evidence) -> Floats:
        """Chance of each cause with a piece of evidence left out."""
        belief = self._belief
        thinned = self._model.weigher.thinned_by(item, belief.evidence)
        if thinned is not None and thinned.all():  # changes odds only, so all else stands
            return belief.chances.with_odds(1 / thinned)
        others = [other for other in belief.evidence if other is not item]
        return self._model.weigh(others, belief.applies).marginal


@dataclass(frozen=True, slots=True)
class RankedCause:
    """A cause with the probability that it is at work.

    `relevant` is False for a cause that can produce none of the complaints and has not been found
    by other means.
    """

    cause: str
    probability: float
    prior: float
    corrected: bool
    relevant: bool
    index: int
    evidence: tuple[Evidence, ...]
    reasons: Reasons = field(compare=False, repr=False)

    @property
    def weights(self) -> tuple[Weight, ...]:
        """What each piece of evidence does to it, strongest first, the unnoticeable left out."""
        column = self.reasons.decibans[:, self.index].tolist()
        items = [
            Weight(item, db)
            for item, db in zip(self.evidence, column, strict=True)
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
    """Causes from most to least probable, and the chance that nothing listed explains it: none once
    a ride has left no complaint, since then nothing is left to explain."""

    causes: tuple[RankedCause, ...]
    nothing_listed: float

    def find(self, cause: str) -> RankedCause:
        """The entry of one cause. Raises `KeyError`."""
        for entry in self.causes:
            if entry.cause == cause:
                return entry
        raise KeyError(cause)


@dataclass(frozen=True, slots=True)
class Chances:
    """A posterior over any number of causes.

    The causes of each of `parts` hang together; all the others are independent, with `odds`.
    `marginal` holds one chance per cause. `log_mass` is ln of the probability of what needed
    explaining, comparable between questions with the same odds. `is_exact` is False where more had
    to be explained together than can be; some chances are then approximate.
    """

    odds: Floats
    parts: tuple[Terms, ...]
    marginal: Floats
    log_mass: float
    is_exact: bool

    @property
    def apart(self) -> Floats:
        """Chance of each cause that hangs together with no other; 0 for the others."""
        alone = self.odds / (1 + self.odds)
        for part in self.parts:
            alone[part.causes] = 0.0
        return np.asarray(alone)

    def none_of(self, which: Flags) -> float:
        """Chance that none of the causes flagged in `which` is at work."""
        chance = float(np.prod(1 - self.apart[which]))
        for part in self.parts:
            chance *= part.all_absent(which[part.causes])
        return chance

    def with_odds(self, factor: Floats) -> Floats:
        """Chance of each cause were its odds so many times as high before what needed explaining
        was seen."""
        odds = self.odds * factor
        marginal = odds / (1 + odds)
        for part in self.parts:
            marginal[part.causes] = part.with_odds(factor[part.causes])
        return np.asarray(marginal)

    def without(self, which: Flags) -> Floats:
        """Chance of each cause being at work while none of those flagged in `which` is."""
        apart = self.apart
        total, found = float(np.prod(1 - apart[which])), np.where(which, 0.0, apart)
        for part in self.parts:
            quiet, with_cause = part.without(which[part.causes])
            total *= quiet
            found[part.causes] = with_cause / max(quiet, 1e-300)
        return np.asarray(found * total)

    def joint(self, causes: Indices) -> Floats:
        """Chance of every combination of some causes: 2 to their number, the first the lowest
        bit."""
        table, order = np.ones(1), []
        for part in self.parts:
            rows = np.flatnonzero(np.isin(part.causes, causes))
            if len(rows):
                table = np.outer(part.joint(rows), table).ravel()
                order += part.causes[rows].tolist()
        for cause in causes:
            if int(cause) not in order:
                alone = self.odds[cause] / (1 + self.odds[cause])
                table = np.outer([1 - alone, alone], table).ravel()
                order.append(int(cause))
        bits = np.arange(len(table))
        source = np.zeros_like(bits)
        for number, cause in enumerate(causes):
            source |= ((bits >> number) & 1) << order.index(int(cause))
        return np.asarray(table[source])


@dataclass(frozen=True, slots=True)
class Belief:
    """What is made of one case: everything later steps need.

    `gone` flags causes already put right, `relevant` those that matter for the complaints,
    `applies` those that this bike can have.
    """

    case: Case
    findings: Findings
    evidence: tuple[Evidence, ...]
    chances: Chances
    applies: Flags
    gone: Flags
    relevant: Flags

    @property
    def marginal(self) -> Floats:
        """Chance of each cause being at work, or having been until it was put right."""
        return self.chances.marginal

    @property
    def matters(self) -> Flags:
        """Causes that may still be there and matter."""
        return np.asarray(self.relevant & ~self.gone)

    @property
    def open_marginal(self) -> Floats:
        """Probability of each cause that matters still being there; 0 for the others."""
        return np.where(self.matters, self.marginal, 0.0)


class ImpossibleEvidence(BadInput):
    """Nothing, not even what is not listed, could give these facts."""


class Model:
    """A pack ready for work: rules compiled and network built once.

    `checks` has the nodes that can confirm each cause, `confirms` the causes that each node can.
    `findings` may be given by who draws the same conclusions in another way.
    """

    def __init__(self, rules: RuleBase, findings: FindingsEngine | None = None) -> None:
        self.rules = rules
        self.network: Network = build_network(rules)
        self.findings = findings or FindingsEngine(rules)
        self.weigher = Weigher(rules, self.network)
        self.checks = checks_by_cause(rules)
        self.confirms = causes_by_check(self.checks)
        self.unsafe: Flags = np.array([rules.causes[key].unsafe for key in self.network.causes])

    def believe(self, case: Case) -> Belief:
        """The posterior of a case. Raises `ImpossibleEvidence` and `EngineError`."""
        findings, evidence = gather(self.findings, self.rules, case)
        corrections = standing(case).corrections
        gone = self.weigher.gone(corrections)
        gone &= ~self.weigher.found_again(evidence, corrections)
        applies = np.array([cause not in findings.not_applicable for cause in self.network.causes])
        chances = self.weigh(evidence, applies)
        found = applies & (chances.marginal >= self.rules.policy.settled)
        relevant = (self.weigher.able(evidence) & applies) | found
        return Belief(case, findings, tuple(evidence), chances, applies, gone, relevant)

    def weigh(self, evidence: Iterable[Evidence], applies: Flags) -> Chances:
        """How likely each cause is, given some evidence. Raises `ImpossibleEvidence`."""
        question = self.weigher.question(evidence, applies)
        try:
            return chances_of(question)
        except ZeroDivisionError:
            raise ImpossibleEvidence(
                "nothing in the rule base could give these facts together"
            ) from None

    def rank(self, belief: Belief) -> Ranking:
        """Every applicable cause with its reasons: those that matter for the complaint first, then
        by probability (ties by id)."""
        prior = np.exp(self.network.log_odds - np.logaddexp(0.0, self.network.log_odds))
        reasons = Reasons(self, belief)
        ranked = [
            RankedCause(
                cause,
                float(belief.marginal[index]),
                float(prior[index]),
                bool(belief.gone[index]),
                bool(belief.relevant[index]),
                index,
                belief.evidence,
                reasons,
            )
            for index, cause in enumerate(self.network.causes)
            if belief.applies[index]
        ]
        ranked.sort(key=lambda c: (c.corrected, not c.relevant, -c.probability, c.cause))
        is_well = standing(belief.case).is_proven
        return Ranking(tuple(ranked), 0.0 if is_well else nothing_left(belief))


def chances_of(question: Question) -> Chances:
    """The posterior that a question asks for. Raises `ZeroDivisionError` when it is impossible.

    What was seen is not explained away by other causes of the same reading: where the chance of a
    cause falls below the trust in the check that saw it, its odds are raised until it does not.
    """
    found = _as_linked(question)
    raised, marginal = np.ones_like(question.odds), found.marginal
    for _ in range(MOST_RAISED):
        odds = marginal / np.maximum(1 - marginal, 1e-15)
        low = odds < 0.99 * question.seen
        if not low.any():
            break
        raised = raised * np.where(low, question.seen / np.maximum(odds, 1e-15), 1.0)
        marginal = found.with_odds(raised)
    if (raised == 1).all():
        return found
    return _as_linked(replace(question, odds=question.odds * raised))


def _as_linked(question: Question) -> Chances:
    """The posterior as the links have it.

    Where too much hangs together, the pieces that tell least are folded into the odds, each given
    how likely the rest makes the other causes (expectation propagation in one pass; T. Minka, 2001,
    from memory).
    """
    kept, folded = _taken_together(question)
    found = _explained(question.odds, kept)
    if not folded:
        return found
    odds, log_mass = question.odds, found.log_mass
    for piece in folded:
        factor, mass = _alone(piece, found.marginal)
        odds, log_mass = odds * factor, log_mass + mass
    return replace(_explained(odds, kept), log_mass=log_mass, is_exact=False)


def _explained(odds: Floats, pieces: Sequence[Piece]) -> Chances:
    marginal = odds / (1 + odds)
    parts: list[Terms] = []
    log_mass, is_exact = 0.0, True
    for group, reach in connected(odds, pieces):
        linked = np.where(reach, odds, 0.0)
        try:
            terms = expand(linked, group)
        except TooManyTerms:
            terms = _as_independent(np.flatnonzero(reach), *recursion.marginals(linked, group))
            is_exact = False
        log_mass += terms.log_mass
        if reach.any():
            parts.append(terms)
            marginal[terms.causes] = terms.marginals()
    return Chances(odds, tuple(parts), marginal, log_mass, is_exact)


def _as_independent(causes: Indices, chances: Floats, log_mass: float) -> Terms:
    """One term with the right chances, where what hangs together cannot be kept."""
    present = np.clip(chances[causes], 1e-15, 1 - 1e-15)[:, None]
    return Terms(causes, np.ones(1), present, 1 - present, log_mass, 1.0)


def _taken_together(question: Question) -> tuple[list[Piece], list[Piece]]:
    """The pieces that are explained together, and those of overlarge groups that are not: of the
    findings those likeliest to be seen anyway, then the complaints with the most rides."""
    present = question.odds / (1 + question.odds)
    kept, folded = list(question.pieces), []
    while (piece := _to_fold(kept, question.odds, present)) is not None:
        kept = [other for other in kept if other is not piece]
        folded.append(piece)
    return kept, folded


def _to_fold(pieces: Sequence[Piece], odds: Floats, present: Floats) -> Piece | None:
    for group, reach in connected(odds, pieces):
        bits = sum(len(piece.background) for piece in group)
        findings = [piece for piece in group if len(piece.background) == 1]
        if bits > MOST_TOGETHER and findings:
            return min(
                findings,
                key=lambda p: p.background[0] * np.prod(1 - present * (1 - p.quiet[0])),
            )
        if bits > recursion.most_bits(int(np.count_nonzero(reach))):
            return max(group, key=lambda piece: len(piece.background))
    return None


def _alone(piece: Piece, marginal: Floats) -> tuple[Floats, float]:
    """What a piece by itself does to the odds of each cause where these chances hold, and ln of
    its probability."""
    held = np.clip(marginal, 0.0, 1 - 1e-12)
    before = held / (1 - held)
    chances, log_mass = recursion.marginals(before, [piece])
    after = chances / np.maximum(1 - chances, 1e-15)
    linked = (piece.quiet < 1).any(axis=0) & (before > 0)
    return np.where(linked, after / np.where(linked, before, 1.0), 1.0), log_mass


def nothing_left(belief: Belief) -> float:
    """Probability that no listed cause is left to explain the complaint."""
    return belief.chances.none_of(belief.matters)


def decibans(probability: Floats) -> Floats:
    """Ten log10 of the odds (I. J. Good, 1950, from memory)."""
    tiny = 1e-12  # smaller chances are rounding
    odds = np.maximum(probability, tiny) / np.maximum(1 - probability, 1e-16)
    return np.asarray(10 * np.log10(odds))
