"""What things cost and what an observation is worth, in minutes at the bench.

Decision-theoretic troubleshooting (Heckerman, Breese and Rommelse, 1995, from memory): suspects are
taken in falling order of probability over the cost of trying them. Where a check can confirm the
suspect, trying it costs the check, and the correction only when it is needed; where none is left,
or it costs more than the work it may spare, trying costs the correction and the ride after it. An
observation is worth making when it lowers the expected cost of getting the bike right by more than
it costs.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from diagnose.advice.means import OUT_OF_REACH, Means
from diagnose.case.events import Standing, machine_traits
from diagnose.case.figures import figure_of, looking_up
from diagnose.inference.found_faults import found_faults
from diagnose.inference.posterior import Belief, Model
from diagnose.inference.terms import Flags, Floats, Indices
from rules.language.schema import Observation

# Plans are priced on this many of the likeliest suspects in every combination, and on each of the
# others by itself.
MOST_SUSPECTS = 10
AT_HAND = 0.5
"""A check that is answered less often than this does not take the place of a lesser one (our own
choice)."""
# Of the combinations, the most probable are kept that together hold this much; what is left out can
# move an expected cost by at most (1 - KEPT) times the dearest plan.
KEPT = 0.999
# Outcomes are priced in tables of about this many numbers, which fit a processor's cache.
TABLE = 200_000
_LOG_OF_NOTHING = -700.0
_SMALL = np.int16  # numbers of corrections: tables of them are gone through most often


@dataclass(frozen=True, slots=True)
class Option:
    """A possible observation: what it costs and what it is expected to save, in minutes. That it
    may not be answered is counted in what it saves.

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


@dataclass(frozen=True)
class Outlook:
    """The suspects in the combinations that planning looks at, and what would put them right.

    `suspects` are indices of causes, the likeliest first; `holds` (combinations, suspects) says
    which are at work together, with the chance `weights`. `fix_of` (suspects) is where each one's
    correction stands in `corrections`; `fees` holds minutes per correction, ride included. `needed`
    is the chance of each correction being needed. `checks` holds, per correction, the open checks
    of its causes as (minutes, node), cheapest first; those that the work makes on its way cost only
    what is lost where it is not needed. `settled` are the corrections that are beyond
    more checking, as indices, cheapest first. `found` are those of them that put right what was
    found: they will be made, so their causes are no suspects and their price sways nothing.
    `open_nodes` lists what may still be found out: (node, observation to make first, minutes, the
    chance of an answer). `hand_over` is what handing over counts as for who asks.
    """

    suspects: Indices
    holds: Flags
    weights: Floats
    corrections: tuple[str, ...]
    fix_of: Indices
    fees: Floats
    needed: Floats
    checks: tuple[tuple[tuple[float, str], ...], ...]
    hand_over: float
    settled: tuple[int, ...] = ()
    found: tuple[int, ...] = ()
    open_nodes: tuple[tuple[str, str, float, float], ...] = ()

    @cached_property
    def needs(self) -> Flags:
        """Which corrections each combination needs: (combinations, corrections)."""
        needs = np.zeros((len(self.holds), len(self.fees)), dtype=np.bool_)
        for fix in np.unique(self.fix_of):
            needs[:, fix] = self.holds[:, self.fix_of == fix].any(axis=1)
        return needs

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
        observations = model.rules.observations
        self._tellers = {name: entry for name, entry in observations.items() if entry.tells}
        self._bearing = [(name, entry) for name, entry in observations.items() if entry.is_evidence]
        self._made_by: dict[str, list[str]] = {}
        for key, correction in model.rules.corrections.items():
            for name in correction.makes:
                self._made_by.setdefault(name, []).append(key)
        self._most_states = max(model.network.sizes.values())
        self._fee = {
            key: entry.minutes + policy.parts_minutes[entry.parts] + policy.ride_minutes
            for key, entry in model.rules.corrections.items()
        }

    def outlook(self, belief: Belief, now: Standing, means: Means | None = None) -> Outlook:
        """What planning looks at for this case, for whoever asks in it unless `means` are given."""
        means = means or Means(self._rules, now)
        causes = self._model.network.causes
        open_nodes = tuple(self._open_nodes(belief, now, means))
        open_minutes = {node: minutes for node, _, minutes, _ in open_nodes}
        mended = mended_by(self._model, belief)
        fixes: dict[str, dict[str, float]] = {
            # nothing is looked at for the sake of work that is not going to be done
            correction: {
                node: open_minutes[node]
                for index in these
                for node in self._model.checks[causes[index]]
                if node in open_minutes and means.does(correction)
            }
            for correction, these in mended.items()
        }
        needed = np.array([chance_of_any(belief, these) for these in mended.values()])
        out_of_reach = 1e3 * means.minutes_to_hand_over
        # a check that the work makes on its way costs nothing more where the work follows
        for (key, checks), chance in zip(fixes.items(), needed, strict=True):
            for node in checks.keys() & set(self._rules.corrections[key].makes):
                checks[node] *= 1 - float(chance)
        fees = [
            self._fee[key] - self._made_already(key, now) if means.does(key) else out_of_reach
            for key in fixes
        ]
        settled = sorted(
            (
                number
                for number, key in enumerate(fixes)
                if needed[number] >= self._rules.policy.settled and means.does(key)
            ),
            key=lambda number: (fees[number], -needed[number]),
        )
        corrections = tuple(fixes)
        wanted = {
            self._rules.causes[fault.cause].correction
            for fault in found_faults(self._model, belief)
            if not fault.put_right
        }
        found = tuple(number for number in settled if corrections[number] in wanted)
        suspected = belief.matters.copy()
        for number in found:
            suspected[mended[corrections[number]]] = False
        likeliest = np.argsort(-belief.open_marginal, kind="stable")
        suspects = likeliest[suspected[likeliest]]
        position = {correction: number for number, correction in enumerate(corrections)}
        holds, weights = _combinations(belief, suspects)
        return Outlook(
            suspects,
            holds,
            weights,
            corrections,
            np.array(
                [position[self._rules.causes[causes[n]].correction] for n in suspects],
                dtype=np.intp,
            ),
            np.array(fees),
            needed,
            tuple(
                tuple(sorted((minutes, node) for node, minutes in checks.items()))
                for checks in fixes.values()
            ),
            means.minutes_to_hand_over,
            tuple(settled),
            found,
            open_nodes,
        )

    def _made_already(self, correction: str, now: Standing) -> float:
        """Minutes of the work that were spent on a check it makes on its way, since the latest
        work."""
        return max(
            (
                self._rules.observations[name].minutes
                for name in self._rules.corrections[correction].makes
                if name in now.answers and now.corrected_by[name] == now.corrections
            ),
            default=0.0,
        )

    def plan(self, outlook: Outlook) -> Plan:
        """The corrections worth trying, in order, before handing the bike over: first what was
        found."""
        if not outlook.corrections:
            return Plan((), (), outlook.hand_over)
        cost, order, length = self._price_now(outlook)
        suspected = order[0, : length[0]].tolist()
        chosen = [*outlook.found, *suspected]
        names = tuple(outlook.corrections[i] for i in chosen)
        made = [outlook.checks_worth_making(i) for i in suspected]
        minutes = {node: whole for node, _, whole, _ in outlook.open_nodes}
        looks = [minutes.get(found[0][1], found[0][0]) if found else None for found in made]
        checks = (*[None for _ in outlook.found], *looks)
        chances = tuple(float(outlook.needed[i]) for i in chosen)
        fees = float(outlook.fees[list(outlook.found)].sum())
        return Plan(names, chances, float(cost[0]) + fees, checks)

    def options(self, belief: Belief, outlook: Outlook, expected: float) -> list[Option]:
        """Every observation still open that could bear on the complaint, priced.

        `expected` is what the plan of this outlook is expected to cost.
        """
        candidates = outlook.open_nodes
        if not len(outlook.suspects) or not candidates:
            return []
        expected -= float(outlook.fees[list(outlook.found)].sum())
        holds = outlook.holds.astype(np.float64)
        first = np.argmax(outlook.weights @ holds)
        at_once = max(1, TABLE // (self._most_states * len(outlook.weights)))
        found: list[Option] = []
        for start in range(0, len(candidates), at_once):
            part = candidates[start : start + at_once]
            nodes = [node for node, _, _, _ in part]
            weights, owner = self._outcomes(belief, outlook, nodes)
            entry = outlook.entry_fees_without(nodes)
            fees = self._fees_after(outlook, nodes)
            priced = self._price(outlook, weights, entry[owner], fees[owner])[0]
            cost = np.bincount(owner, weights=priced)
            turned = np.argmax(weights @ holds, axis=1) != first
            turns = np.bincount(owner, weights=weights.sum(axis=1) * turned)
            for n, (node, name, minutes, told) in enumerate(part):
                saves = told * (expected - float(cost[n]))
                found.append(Option(name, node, minutes, saves, told * float(turns[n])))
        return found

    def _outcomes(
        self, belief: Belief, outlook: Outlook, nodes: list[str]
    ) -> tuple[Floats, Indices]:
        """P(combination and state) for every state of every node, stacked, and the node each row
        is of. The causes that are no suspects are taken as independent of them."""
        network = self._model.network
        rows = np.concatenate(
            [network.first_row[node] + np.arange(network.sizes[node]) for node in nodes]
        )
        sizes = np.array([network.sizes[node] for node in nodes])
        owner = np.repeat(np.arange(len(nodes)), sizes)
        log_quiet = np.where(belief.gone, 0.0, network.log_cdf[rows])
        beside = belief.marginal.copy()
        beside[outlook.suspects] = 0.0
        background = network.log_leak[rows] + np.sum(
            np.log1p(-beside * -np.expm1(log_quiet)), axis=1
        )
        own = np.maximum(log_quiet[:, outlook.suspects], _LOG_OF_NOTHING)
        cumulative = np.exp(own @ outlook.holds.T.astype(np.float64) + background[:, None])
        chances = cumulative.copy()
        chances[1:] -= cumulative[:-1]
        starts = np.cumsum(sizes) - sizes
        chances[starts] = cumulative[starts]
        return np.asarray(np.maximum(chances, 0.0) * outlook.weights), owner

    def _fees_after(self, outlook: Outlook, nodes: Sequence[str]) -> Floats:
        """The fees of the corrections once each of some nodes has been looked at: (nodes,
        corrections). Work that makes the look on its way is then begun."""
        fees = np.tile(outlook.fees, (len(nodes), 1))
        for row, node in enumerate(nodes):
            for correction in self._made_by.get(node, ()):
                if correction in outlook.corrections:
                    column = outlook.corrections.index(correction)
                    fees[row, column] -= self._rules.observations[node].minutes
        return fees

    def _price_now(self, outlook: Outlook) -> tuple[Floats, Indices, Indices]:
        now = outlook.weights[None, :], outlook.entry_fees()[None, :], outlook.fees[None, :]
        return self._price(outlook, *now)

    def _price(
        self, outlook: Outlook, weights: Floats, checks: Floats, fees: Floats
    ) -> tuple[Floats, Indices, Indices]:
        """Expected minutes of the best plan for each row of `weights` over the combinations.

        `checks` (rows, corrections) holds minutes of the check that goes before each correction,
        inf where there is none, and `fees` those of the correction. Giving up and handing over
        comes where it is cheapest. A combination is put right once every suspect in it is; the
        empty one never is. Returns (cost, order, length of the plan).
        """
        rows, fixes = len(weights), len(outlook.fees)
        needs = outlook.needs
        chance = weights @ needs.astype(np.float64)
        # a check dearer than the work it may spare is left out
        share = chance / np.maximum(weights.sum(axis=1, keepdims=True), 1e-300)
        checked = checks < (1 - share) * fees
        entry = np.where(checked, checks, fees)
        later = np.where(checked, chance * fees, 0.0)
        order = np.argsort(-chance / entry, axis=1, kind="stable")
        place = np.empty((rows, fixes), dtype=_SMALL)
        counted = np.arange(1, fixes + 1, dtype=_SMALL)
        np.put_along_axis(place, order, np.broadcast_to(counted, order.shape), axis=1)
        done = np.zeros(weights.shape, dtype=_SMALL)  # nothing at work needs nothing
        needed = needs.astype(_SMALL)
        for fix in np.flatnonzero(needs.any(axis=0)):
            np.maximum(done, place[:, fix, None] * needed[:, fix], out=done)
        flat = (done + np.arange(rows)[:, None] * (fixes + 1)).ravel()
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
        stop = spent + (left_before - mass[:, 1:]) * outlook.hand_over
        stop = np.concatenate([total * outlook.hand_over, stop], axis=1)
        length = np.argmin(stop, axis=1)
        cost = np.take_along_axis(stop, length[:, None], axis=1)[:, 0]
        return cost, order, length

    def _open_nodes(
        self, belief: Belief, now: Standing, means: Means
    ) -> Iterator[tuple[str, str, float, float]]:
        """(node, observation to make first, minutes, chance of an answer) for whatever may still be
        found out."""
        hidden = belief.findings.not_applicable
        attention = self._rules.policy.attention_minutes
        bears = self._model.network.nodes_showing(belief.matters)
        for key, entry in self._bearing:
            is_open = key not in now.answers and key not in hidden
            if not (is_open and key in bears and self._makes_sense(entry, now, means)):
                continue
            looked_up = self._needed_to_judge(entry, belief)
            if looked_up in now.answers:
                continue  # nobody has the figure: no reading would say anything
            needed = [*self._kind_left_open(entry, belief, now)]
            needed += [key] if looked_up is None else [looked_up, key]
            told = math.prod(means.chance(name) for name in needed)
            if told >= OUT_OF_REACH:
                minutes = sum(self._rules.observations[name].minutes for name in needed)
                yield key, needed[0], minutes + attention * len(needed), told
        yield from self._looking_up(belief, now, means, bears)
        for finding, inputs in self._model.findings.inputs.items():
            if finding in belief.findings.states or finding not in bears:
                continue
            needed = self.observations_behind(inputs)
            open_ones = [name for name in needed if name not in now.answers]
            unknown = [n for n in needed if n in now.answers and not now.answers[n].is_known]
            if open_ones and not unknown and not any(name in hidden for name in needed):
                minutes = attention + sum(self._rules.observations[n].minutes for n in open_ones)
                told = math.prod(means.chance(name) for name in open_ones)
                if told >= OUT_OF_REACH:
                    yield finding, open_ones[0], minutes, told

    def _looking_up(
        self, belief: Belief, now: Standing, means: Means, bears: Collection[str]
    ) -> Iterator[tuple[str, str, float, float]]:
        """The manual's figures without which readings cannot be judged: each would tell what its
        reading would."""
        attention = self._rules.policy.attention_minutes
        hidden = belief.findings.not_applicable
        for key in belief.findings.unjudged:
            entry = self._rules.observations[key]
            name = looking_up(self._rules, entry.target) if entry.target is not None else None
            name = next(self._kind_left_open(entry, belief, now), name)
            if name is None or name in now.answers or key not in bears or key in hidden:
                continue
            told = means.chance(name)
            if told >= OUT_OF_REACH:
                yield key, name, self._rules.observations[name].minutes + attention, told

    def _kind_left_open(self, entry: Observation, belief: Belief, now: Standing) -> Iterator[str]:
        """What tells the kind of bike that a measurement needs, where that is still left open and
        nobody gave the figure for it: no reading of it is worth anything before."""
        if entry.kind != "measurement":
            return
        for name, asked in self._tellers.items():
            if asked.tells not in entry.needs or name in now.answers:
                continue
            if entry.target and figure_of(self._rules, belief.case, entry.target).is_own:
                continue
            if machine_traits(self._rules, belief.case)[asked.tells] == asked.normal:
                yield name

    def _needed_to_judge(self, entry: Observation, belief: Belief) -> str | None:
        """The look into the manual without which no reading of a measurement would say anything: it
        comes first, since who has no manual would measure for nothing."""
        if entry.target is None or figure_of(self._rules, belief.case, entry.target).says_anything:
            return None
        return looking_up(self._rules, entry.target)

    def _makes_sense(self, entry: Observation, now: Standing, means: Means) -> bool:
        """Whether what is known leaves this worth asking, and no better check is to be had."""
        for name, states in entry.only_if.items():
            answer = now.answers.get(name)
            if answer is not None and answer.is_known and answer.state not in states:
                return False
        if entry.instead_of is None:
            return True
        better = now.answers.get(entry.instead_of)
        if better is not None:
            return not better.is_known
        return means.chance(entry.instead_of) < AT_HAND

    @cached_property
    def pairs(self) -> Mapping[str, tuple[str, str]]:
        """The two readings that only together tell a finding, by finding: one of them at least says
        nothing by itself."""
        found = {}
        for finding, inputs in self._model.findings.inputs.items():
            match self.observations_behind(inputs):
                case [one, other]:
                    entries = (self._rules.observations[name] for name in (one, other))
                    if not all(entry.is_evidence for entry in entries):
                        found[finding] = one, other
        return found

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


def mended_by(model: Model, belief: Belief) -> dict[str, list[int]]:
    """Correction -> the causes that may still be there and that it puts right, as indices."""
    mended: dict[str, list[int]] = {}
    for index in np.flatnonzero(belief.matters):
        correction = model.rules.causes[model.network.causes[index]].correction
        mended.setdefault(correction, []).append(int(index))
    return mended


def chance_of_any(belief: Belief, causes: list[int]) -> float:
    """Chance that at least one of some causes is at work."""
    if len(causes) == 1:
        return float(belief.marginal[causes[0]])
    return 1 - belief.chances.none_of(_flags(belief, causes))


def _combinations(belief: Belief, suspects: Indices) -> tuple[Flags, Floats]:
    """The most probable combinations of suspects, and their chances.

    What none of the first `MOST_SUSPECTS` explains is put down to one of the others by itself, or
    to nothing listed.
    """
    if not len(suspects):
        return np.zeros((1, 0), dtype=np.bool_), np.ones(1)
    together, others = suspects[:MOST_SUSPECTS], suspects[MOST_SUSPECTS:]
    table = belief.chances.joint(together)
    alone = belief.chances.without(_flags(belief, together))[others]
    explained = max(float(table[0]) - belief.chances.none_of(_flags(belief, suspects)), 0.0)
    if alone.sum() > 0:
        alone *= explained / alone.sum()
        table[0] -= explained
    holds = np.zeros((len(table) + len(others), len(suspects)), dtype=np.bool_)
    numbers = np.arange(len(table))
    holds[: len(table), : len(together)] = numbers[:, None] >> np.arange(len(together)) & 1
    holds[len(table) :, len(together) :] = np.eye(len(others), dtype=np.bool_)
    weights = np.concatenate([table, alone])
    order = np.argsort(-weights, kind="stable")
    total = np.cumsum(weights[order])
    order = order[: int(np.searchsorted(total, KEPT * total[-1])) + 1]
    kept = weights[order]
    return holds[order], kept / kept.sum()


def _flags(belief: Belief, causes: Sequence[int] | Indices) -> Flags:
    which = np.zeros(len(belief.marginal), dtype=np.bool_)
    which[causes] = True
    return which
