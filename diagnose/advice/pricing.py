"""What things cost and what an observation is worth, in minutes at the bench.

Decision-theoretic troubleshooting (Heckerman, Breese and Rommelse, 1995, from memory): suspects are
taken in falling order of probability over the cost of trying them. Where a check can confirm the
suspect, trying it costs the check, and the correction only when it is needed; where none is left,
or it costs more than the work it may spare, trying costs the correction and the ride after it. An
observation is worth making when it lowers the expected cost of getting the bike right by more than
it costs.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from diagnose.advice.confirming import checks_by_cause
from diagnose.case.events import Standing
from diagnose.inference.cause_sets import CauseSets, Floats, Indices
from diagnose.inference.posterior import Belief, Model

# The plan is priced on the most probable cause sets that together hold this much of the posterior;
# what is left out can move an expected cost by at most (1 - KEPT) times the dearest plan.
KEPT = 0.999
# Outcomes are priced in tables of about this many numbers, which fit a processor's cache.
TABLE = 200_000


@dataclass(frozen=True, slots=True)
class Option:
    """A possible observation: what it costs and what it is expected to save, in minutes.

    `node` is what it bears on (a finding may need several observations; `observation` is the first
    of them to make). `changes_first` is the chance that another cause would then stand first.
    """

    observation: str
    node: str
    minutes: float
    saves: float
    changes_first: float

    @property
    def net(self) -> float:
        """Expected saving less its own cost."""
        return self.saves - self.minutes


@dataclass(frozen=True, slots=True)
class Plan:
    """Corrections in the order to try them, with the chance each is needed, and what it is expected
    to cost to follow them until the bike is right or handed over.

    `checks` holds the minutes of the check that goes before each, None where none would pay.
    """

    corrections: tuple[str, ...]
    chances: tuple[float, ...]
    expected_minutes: float
    checks: tuple[float | None, ...] = ()


@dataclass(frozen=True, slots=True)
class Outlook:
    """The cause sets that planning looks at, and the corrections that bear on them.

    Causes that can produce none of the complaints are taken to be absent: they cost nothing and
    nothing need be found out about them. `fix_of` maps a cause to a position in `corrections` (-1
    for one that does not matter; the last entry stands for 'no cause'), `fees` holds minutes per
    correction, ride included.
    `needed` is the posterior chance of each correction being needed (bystander causes and all).
    `checks` holds, per correction, the open checks of its causes as (minutes, node), cheapest
    first. `open_nodes` lists what may still be found out: (node, observation to make first,
    minutes).
    """

    sets: CauseSets
    weights: Floats
    corrections: tuple[str, ...]
    fix_of: Indices
    fees: Floats
    needed: Floats
    checks: tuple[tuple[tuple[float, str], ...], ...]
    open_nodes: tuple[tuple[str, str, float], ...] = ()

    def checks_worth_making(self, correction: int) -> tuple[tuple[float, str], ...]:
        """The open checks of a correction that cost less than the work they may spare."""
        spared = (1 - float(self.needed[correction])) * float(self.fees[correction])
        return tuple(check for check in self.checks[correction] if check[0] < spared)

    def entry_fees(self) -> Floats:
        """Minutes of the cheapest open check per correction; inf for none."""
        return np.array([checks[0][0] if checks else np.inf for checks in self.checks])

    def entry_fees_without(self, nodes: Sequence[str]) -> Floats:
        """The same without each of some nodes: (nodes, corrections)."""
        fees = np.tile(self.entry_fees(), (len(nodes), 1))
        row = {node: number for number, node in enumerate(nodes)}
        for column, checks in enumerate(self.checks):
            if checks and checks[0][1] in row:
                fees[row[checks[0][1]], column] = checks[1][0] if len(checks) > 1 else np.inf
        return fees


class Pricer:
    """Prices plans and observations for one pack."""

    def __init__(self, model: Model) -> None:
        self._model = model
        self._rules = model.rules
        policy = model.rules.policy
        self._hand_over = policy.hand_over_minutes
        self._most_states = max(model.network.sizes.values())
        self.checks = checks_by_cause(model.rules)
        self._fee = {
            key: entry.minutes + policy.parts_minutes[entry.parts] + policy.ride_minutes
            for key, entry in model.rules.corrections.items()
        }

    def outlook(self, belief: Belief, now: Standing) -> Outlook:
        """What planning looks at for this case."""
        seen = belief.sets.sums((~(belief.matters | belief.gone)).astype(float)) == 0
        rows = np.flatnonzero(seen)
        weights = (belief.posterior / belief.bystanders.totals())[rows]
        order = np.argsort(-weights, kind="stable")
        total = np.cumsum(weights[order])
        order = order[: int(np.searchsorted(total, KEPT * total[-1])) + 1]
        sets = belief.sets.take(rows[order]).without(belief.gone)
        causes = self._model.network.causes
        open_nodes = tuple(self._open_nodes(belief, now))
        open_minutes = {node: minutes for node, _, minutes in open_nodes}
        fixes: dict[str, dict[str, float]] = {}
        needed: dict[str, float] = {}
        fix_of = np.full(len(causes) + 1, -1, dtype=np.intp)
        for index in np.flatnonzero(belief.matters):
            correction = self._rules.causes[causes[index]].correction
            checks = fixes.setdefault(correction, {})
            fix_of[index] = list(fixes).index(correction)
            needed[correction] = needed.get(correction, 0.0) + float(belief.marginal[index])
            for node in self.checks[causes[index]]:
                # nothing is looked at for the sake of work that is not going to be done
                if node in open_minutes and correction not in now.declined:
                    checks[node] = open_minutes[node]
        fix_of[-1] = len(fixes)
        fees = [1e3 * self._hand_over if key in now.declined else self._fee[key] for key in fixes]
        kept = weights[order]
        return Outlook(
            sets,
            kept / kept.sum(),
            tuple(fixes),
            fix_of,
            np.array(fees),
            np.minimum(list(needed.values()), 1.0),
            tuple(
                tuple(sorted((minutes, node) for node, minutes in checks.items()))
                for checks in fixes.values()
            ),
            open_nodes,
        )

    def plan(self, outlook: Outlook) -> Plan:
        """The corrections worth trying, in order, before handing the bike over."""
        if not outlook.corrections:
            return Plan((), (), self._hand_over)
        cost, order, length = self._price_now(outlook)
        chosen = order[0, : length[0]]
        names = tuple(outlook.corrections[i] for i in chosen)
        made = [outlook.checks_worth_making(i) for i in chosen]
        checks = tuple(found[0][0] if found else None for found in made)
        chances = tuple(float(outlook.needed[i]) for i in chosen)
        return Plan(names, chances, float(cost[0]), checks)

    def options(self, outlook: Outlook, expected: float) -> list[Option]:
        """Every observation still open that could bear on the complaint, priced.

        `expected` is what the plan of this outlook is expected to cost.
        """
        if not outlook.corrections:
            return []
        candidates = outlook.open_nodes
        if not candidates:
            return []
        first = np.argmax(outlook.sets.marginals(outlook.weights))
        at_once = max(1, TABLE // (self._most_states * len(outlook.sets)))
        found: list[Option] = []
        for start in range(0, len(candidates), at_once):
            part = candidates[start : start + at_once]
            nodes = [node for node, _, _ in part]
            weights, owner = self._outcomes(outlook, nodes)
            entry = outlook.entry_fees_without(nodes)
            priced = self._price(outlook, weights, entry[owner])[0]
            cost = np.bincount(owner, weights=priced)
            turned = np.argmax(outlook.sets.marginals(weights), axis=1) != first
            turns = np.bincount(owner, weights=weights.sum(axis=1) * turned)
            found += [
                Option(name, node, minutes, expected - float(cost[n]), float(turns[n]))
                for n, (node, name, minutes) in enumerate(part)
            ]
        return found

    def _outcomes(self, outlook: Outlook, nodes: list[str]) -> tuple[Floats, Indices]:
        """P(set and state) for every state of every node, stacked, and the node each row is of."""
        network = self._model.network
        rows = np.concatenate(
            [network.first_row[node] + np.arange(network.sizes[node]) for node in nodes]
        )
        sizes = np.array([network.sizes[node] for node in nodes])
        owner = np.repeat(np.arange(len(nodes)), sizes)
        cumulative = np.exp(outlook.sets.sums(network.log_cdf[rows]) + network.log_leak[rows, None])
        chances = cumulative.copy()
        chances[1:] -= cumulative[:-1]
        starts = np.cumsum(sizes) - sizes
        chances[starts] = cumulative[starts]
        return np.asarray(np.maximum(chances, 0.0) * outlook.weights), owner

    def _price_now(self, outlook: Outlook) -> tuple[Floats, Indices, Indices]:
        return self._price(outlook, outlook.weights[None, :], outlook.entry_fees()[None, :])

    def _price(
        self, outlook: Outlook, weights: Floats, checks: Floats
    ) -> tuple[Floats, Indices, Indices]:
        """Expected minutes of the best plan for each row of `weights` over the sets.

        `checks` (rows, corrections) holds minutes of the check that goes before each correction,
        inf where there is none. Giving up and handing over comes where it is cheapest. A set is put
        right once every cause in it is; the empty set never is. Returns (cost, order, length of
        the plan).
        """
        sets, fees = outlook.sets, outlook.fees
        rows, fixes = len(weights), len(fees)
        fixable = np.flatnonzero(outlook.fix_of[:-1] >= 0)
        belongs = outlook.fix_of[fixable, None] == np.arange(fixes)
        chance = sets.marginals(weights)[:, fixable] @ belongs.astype(float)
        # a check dearer than the work it may spare is left out
        share = chance / np.maximum(weights.sum(axis=1, keepdims=True), 1e-300)
        checked = checks < (1 - share) * fees
        entry = np.where(checked, checks, fees)
        later = np.where(checked, chance * fees, 0.0)
        order = np.argsort(-chance / entry, axis=1, kind="stable")
        rank = np.empty((rows, fixes + 1), dtype=np.intp)
        np.put_along_axis(rank, order, np.broadcast_to(np.arange(fixes), order.shape), axis=1)
        rank[:, fixes] = -1  # 'no cause' needs nothing
        member_fix = outlook.fix_of[sets.members]
        last = rank[:, member_fix[:, 0]]
        for column in range(1, sets.width):
            np.maximum(last, rank[:, member_fix[:, column]], out=last)
        flat = (last + 1 + np.arange(rows)[:, None] * (fixes + 1)).ravel()
        mass = np.bincount(flat, weights=weights.ravel(), minlength=rows * (fixes + 1))
        mass = mass.reshape(rows, fixes + 1)
        total = mass.sum(axis=1, keepdims=True)
        left_before = total - np.concatenate(
            [np.zeros((rows, 1)), np.cumsum(mass[:, 1:-1], axis=1)], axis=1
        )
        spent = np.cumsum(
            left_before * np.take_along_axis(entry, order, axis=1)
            + np.take_along_axis(later, order, axis=1),
            axis=1,
        )
        stop = spent + (left_before - mass[:, 1:]) * self._hand_over
        stop = np.concatenate([total * self._hand_over, stop], axis=1)
        length = np.argmin(stop, axis=1)
        cost = np.take_along_axis(stop, length[:, None], axis=1)[:, 0]
        return cost, order, length

    def _open_nodes(self, belief: Belief, now: Standing) -> Iterator[tuple[str, str, float]]:
        """(node, observation to make first, minutes) for whatever may still be found out."""
        hidden = belief.findings.not_applicable
        attention = self._rules.policy.attention_minutes
        bears = self._model.network.nodes_showing(belief.matters)
        for key, entry in self._rules.observations.items():
            is_open = entry.is_evidence and key not in now.answers and key not in hidden
            if is_open and key in bears:
                yield key, key, entry.minutes + attention
        for finding, inputs in self._model.findings.inputs.items():
            if finding in belief.findings.states or finding not in bears:
                continue
            needed = self.observations_behind(inputs)
            open_ones = [name for name in needed if name not in now.answers]
            unknown = [n for n in needed if n in now.answers and not now.answers[n].is_known]
            if open_ones and not unknown and not any(name in hidden for name in needed):
                minutes = sum(
                    self._rules.observations[name].minutes + attention for name in open_ones
                )
                yield finding, open_ones[0], minutes

    def observations_behind(self, names: Iterable[str]) -> list[str]:
        """The observations behind some facts, looking through findings."""
        found: dict[str, None] = {}
        for name in names:
            if name in self._rules.observations:
                found[name] = None
            elif name in self._model.findings.inputs:
                inner = self.observations_behind(self._model.findings.inputs[name])
                found.update(dict.fromkeys(inner))
        return list(found)
