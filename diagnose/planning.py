"""The next step: what lowers the expected cost of getting the bike right, within trade order.

Decision-theoretic troubleshooting (Heckerman, Breese and Rommelse, 1995, from memory): corrections
in falling order of probability over cost, each followed by a confirming ride; an observation is
worth making when it lowers the expected cost by more than it costs. Costs are minutes at the bench.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np

from diagnose.case import Standing, standing
from diagnose.hypotheses import CauseSets, Floats, Indices
from diagnose.likelihood import log_difference
from diagnose.ranking import Belief, Model, nothing_left
from rules.checks import leaves
from rules.rulebase import RuleBase

StepKind = Literal[
    "complain", "check-again", "ask", "measure", "inspect", "ride-test", "correct", "confirm",
    "hand-over", "close",
]  # fmt: skip

# The plan is priced on the most probable cause sets that together hold this much of the posterior.
# What is left out can move an expected cost by at most (1 - KEPT) times the dearest plan.
KEPT = 0.999

STEP_KINDS: Mapping[str, StepKind] = {
    "history": "ask",
    "question": "ask",
    "measurement": "measure",
    "inspection": "inspect",
    "ride-test": "ride-test",
}


@dataclass(frozen=True, slots=True)
class Option:
    """A possible observation: what it costs and what it is expected to save, in minutes."""

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
class Step:
    """The next thing to do, why it is next, and what outranked the arithmetic if anything did."""

    kind: StepKind
    target: str
    why: str
    minutes: float
    constraint: Literal["", "safety first", "outside before inside", "one change at a time"] = ""
    options: tuple[Option, ...] = ()
    expected_minutes: float = 0.0


@dataclass(frozen=True, slots=True)
class Plan:
    """Corrections in the order to try them, with the chance each is needed, and the expected cost."""

    corrections: tuple[str, ...]
    chances: tuple[float, ...]
    expected_minutes: float


class Costs:
    """Minutes at the bench for each thing that can be done."""

    def __init__(self, rules: RuleBase) -> None:
        policy = rules.policy
        self.hand_over = policy.hand_over_minutes
        self.ride = policy.ride_minutes
        self.corrections = tuple(rules.corrections)
        self.correction = np.array(
            [
                entry.minutes + policy.parts_minutes[entry.parts] + policy.ride_minutes
                for entry in rules.corrections.values()
            ]
        )


class Planner:
    """Chooses steps for one pack."""

    def __init__(self, model: Model) -> None:
        self._model = model
        self._rules = model.rules
        self.costs = Costs(model.rules)
        order = {correction: n for n, correction in enumerate(self.costs.corrections)}
        causes = self._rules.causes
        self._fix_of = np.array([order[causes[c].correction] for c in model.network.causes])
        self._unsafe = np.array([causes[c].unsafe for c in model.network.causes])
        self._inside = np.array([causes[c].inside for c in model.network.causes])
        self._checks = _checks_by_cause(self._rules)

    # -- pricing ---------------------------------------------------------------------------------

    def plan(self, belief: Belief) -> Plan:
        """The corrections worth trying, in order, before handing the bike over."""
        sets, posterior = _kept(belief)
        sets = sets.without(~belief.matters)
        fees = self._fees(standing(belief.case))
        cost, order, chances, length = self._price(sets, posterior[None, :], fees)
        names = [self.costs.corrections[i] for i in order[0, : length[0]]]
        return Plan(tuple(names), tuple(float(c) for c in chances[0, : length[0]]), float(cost[0]))

    def _fees(self, now: Standing) -> Floats:
        """Minutes per correction, with one that was declined too dear to be worth trying."""
        declined = np.array([name in now.declined for name in self.costs.corrections])
        return np.where(declined, 1e3 * self.costs.hand_over, self.costs.correction)

    def _price(
        self, sets: CauseSets, weights: Floats, fees: Floats
    ) -> tuple[Floats, Indices, Floats, Indices]:
        """Expected minutes of the best plan for each row of `weights` over `sets`.

        Corrections go in falling p/C; the place at which to give up and hand over is the best one.
        A set is put right once every cause in it is. Returns (cost, order, chances, length).
        """
        rows, fixes = len(weights), len(self.costs.corrections)
        marginal = sets.marginals(weights)
        chance = np.zeros((rows, fixes))
        np.add.at(chance.T, self._fix_of, marginal.T)
        order = np.argsort(-chance / fees, axis=1, kind="stable")
        rank = np.empty_like(order)
        np.put_along_axis(rank, order, np.broadcast_to(np.arange(fixes), order.shape), axis=1)
        # position at which each cause is put right; 'no cause' needs nothing
        position = np.concatenate(
            [rank[:, self._fix_of], np.full((rows, 1), -1, dtype=rank.dtype)], axis=1
        )
        last = position[:, sets.members[:, 0]]
        for column in range(1, sets.width):
            last = np.maximum(last, position[:, sets.members[:, column]])
        flat = (last + 1 + np.arange(rows)[:, None] * (fixes + 1)).ravel()
        mass = np.bincount(flat, weights=weights.ravel(), minlength=rows * (fixes + 1))
        mass = mass.reshape(rows, fixes + 1)
        total = mass.sum(axis=1, keepdims=True)
        fixed = np.cumsum(mass[:, 1:], axis=1)  # column 0: nothing listed, never put right
        spent = np.cumsum(fees[order], axis=1)
        so_far = np.cumsum(mass[:, 1:] * spent, axis=1)
        stop = so_far + (total - fixed) * (spent + self.costs.hand_over)
        stop = np.concatenate([total * self.costs.hand_over, stop], axis=1)
        length = np.argmin(stop, axis=1)
        cost = np.take_along_axis(stop, length[:, None], axis=1)[:, 0]
        return cost, order, np.take_along_axis(chance, order, axis=1), length

    def options(self, belief: Belief, now: Standing) -> tuple[list[Option], float]:
        """Every observation still open, priced, and the expected minutes without any."""
        sets, posterior = _kept(belief)
        left = sets.without(~belief.matters)
        fees = self._fees(now)
        current = float(self._price(left, posterior[None, :], fees)[0][0])
        candidates = list(self._open_nodes(belief, now))
        if not candidates:
            return [], current
        network = self._model.network
        blocks, owners = [], []
        for number, (node, _, _) in enumerate(candidates):
            cumulative = network.log_cumulative(left, node)
            chances = np.empty_like(cumulative)
            chances[0] = np.exp(cumulative[0])
            chances[1:] = np.exp(log_difference(cumulative[1:], cumulative[:-1]))
            blocks.append(chances * posterior)
            owners += [number] * len(chances)
        weights = np.concatenate(blocks)
        owner = np.array(owners)
        priced = self._price(left, weights, fees)[0]
        cost = np.bincount(owner, weights=priced, minlength=len(candidates))
        changed = _changes_first(left, posterior, weights)
        turn = np.bincount(
            owner, weights=weights.sum(axis=1) * changed, minlength=len(candidates)
        )
        return [
            Option(first, node, minutes, current - float(cost[number]), float(turn[number]))
            for number, (node, first, minutes) in enumerate(candidates)
        ], current

    def _open_nodes(self, belief: Belief, now: Standing) -> Iterable[tuple[str, str, float]]:
        """(node, observation to make first, minutes) for whatever may still be found out."""
        hidden = belief.findings.not_applicable
        for key, entry in self._rules.observations.items():
            if entry.is_evidence and key not in now.answers and key not in hidden:
                yield key, key, entry.minutes
        for finding, inputs in self._model.findings.inputs.items():
            if finding in belief.findings.states:
                continue
            needed = [name for name in self._needed(inputs) if name not in now.answers]
            asked = [
                name
                for name in self._needed(inputs)
                if name in now.answers and not now.answers[name].is_known
            ]
            if needed and not asked and not any(name in hidden for name in needed):
                minutes = sum(self._rules.observations[name].minutes for name in needed)
                yield finding, needed[0], minutes

    def _needed(self, inputs: Iterable[str]) -> list[str]:
        """The observations behind some inputs, looking through findings."""
        names: dict[str, None] = {}
        for name in inputs:
            if name in self._rules.observations:
                names[name] = None
            else:
                names.update(dict.fromkeys(self._needed(self._model.findings.inputs[name])))
        return list(names)

    # -- choosing --------------------------------------------------------------------------------

    def next_step(self, belief: Belief) -> Step:
        """What to do now. Raises nothing: there is always a next step."""
        now = standing(belief.case)
        if not now.complaints:
            return Step("complain", "", "Everything starts from what the rider complains of.", 0.5)
        if now.rides and not now.ride_due and now.rides[-1].report == "gone":
            return Step("close", "", "The confirming ride proved the correction.", 1.0)
        again = self._check_again(belief, now)
        if again is not None:
            return again
        marginal = belief.open_marginal
        options, current = self.options(belief, now)
        danger = self._safety(belief, now, marginal, options, current)
        if danger is not None:
            return danger
        if now.ride_due:
            why = "One change at a time: ride it now, before anything else is touched."
            return Step(
                "confirm",
                now.corrections[-1],
                why,
                self.costs.ride,
                "one change at a time",
                tuple(options),
                current,
            )
        return self._best(belief, now, marginal, options, current)

    def _check_again(self, belief: Belief, now: Standing) -> Step | None:
        for contradiction in belief.findings.contradictions:
            if contradiction.rule not in now.insisted:
                minutes = sum(self._rules.observations[o].minutes for o in contradiction.check)
                return Step("check-again", contradiction.rule, contradiction.text, minutes)
        return None

    def _safety(
        self,
        belief: Belief,
        now: Standing,
        marginal: Floats,
        options: list[Option],
        current: float,
    ) -> Step | None:
        """The step that safety demands, if any."""
        causes = self._model.network.causes
        if belief.findings.do_not_ride:
            reason = belief.findings.do_not_ride[0]
            return self._make_safe(belief, now, reason.rule, reason.text, options, current)
        worst = np.where(self._unsafe, marginal, 0.0)
        for index in np.argsort(-worst, kind="stable"):
            if worst[index] < self._rules.policy.safety_floor:
                return None
            best = self._best_of(
                o for o in options if self._is_safety_check(o, causes[index], belief)
            )
            if best is not None:
                title = _lower_first(self._rules.causes[causes[index]].title)
                why = (
                    f"Before anybody rides: {title} is {_percent(worst[index])} likely "
                    "and would be dangerous."
                )
                return self._observe(best, why, "safety first", options, current)
        return None

    def _is_safety_check(self, option: Option, cause: str, belief: Belief) -> bool:
        entry = self._rules.observations[option.observation]
        return entry.safety and option.node in self._checks.get(cause, ())

    def _make_safe(
        self,
        belief: Belief,
        now: Standing,
        rule: str,
        reason: str,
        options: list[Option],
        current: float,
    ) -> Step:
        """A do-not-ride stands: put right what is behind it, then look again."""
        inputs = self._rule_inputs(rule)
        stale = [
            name for name in inputs
            if name in now.answers and now.corrected_by[name] != now.corrections
        ]  # fmt: skip
        if stale:
            entry = self._rules.observations[stale[0]]
            why = f"It was not safe to ride ({_lower_first(reason)}); look again after the work."
            return Step(
                STEP_KINDS[entry.kind], stale[0], why, entry.minutes, "safety first",
                tuple(options), current,
            )  # fmt: skip
        marginal = belief.open_marginal
        behind = [
            (float(marginal[n]), cause)
            for n, cause in enumerate(self._model.network.causes)
            if self._checks.get(cause, set()) & set(inputs) and not belief.gone[n]
        ]
        unsafe = [pair for pair in behind if self._rules.causes[pair[1]].unsafe]
        if not (unsafe or behind):
            return Step("hand-over", "", f"Not safe to ride: {reason}", self.costs.hand_over,
                        "safety first", tuple(options), current)  # fmt: skip
        cause = max(unsafe or behind, key=lambda pair: (pair[0], pair[1]))[1]
        correction = self._rules.causes[cause].correction
        return Step(
            "correct", correction, f"Not safe to ride: {reason}",
            self._rules.corrections[correction].minutes, "safety first", tuple(options), current,
        )  # fmt: skip

    def _rule_inputs(self, rule: str) -> list[str]:
        names = [
            name
            for leaf, _ in leaves(self._rules.rules[rule].when)
            for name in (leaf.fact, leaf.reading, leaf.exceeds, leaf.differs_from)
            if name is not None
        ]
        known = [n for n in names if n in self._rules.observations or n in self._rules.findings]
        return self._needed(known)

    def _best(
        self,
        belief: Belief,
        now: Standing,
        marginal: Floats,
        options: list[Option],
        current: float,
    ) -> Step:
        """The step the arithmetic picks, within outside-before-inside."""
        plan = self.plan(belief)
        blocking = self._blocking(now, marginal, options)
        allowed = [o for o in options if not (blocking and self._opens(o.observation))]
        best = self._best_of(allowed)
        unbound = self._best_of(options)
        if best is not None and best.net > 0:
            held = unbound is not None and unbound.observation != best.observation
            why = self._why_observe(belief, best)
            if held:
                why = f"{self._why_shut(blocking)} {why}"
            return self._observe(
                best, why, "outside before inside" if held else "", options, current
            )
        if plan.corrections:
            first = plan.corrections[0]
            if not (blocking and self._rules.corrections[first].opens):
                return self._correct(plan, options, current)
            check = self._best_of(
                o for o in allowed if any(o.node in self._checks[c] for c in blocking)
            )
            if check is not None:
                return self._observe(
                    check, self._why_shut(blocking), "outside before inside", options, current
                )
            return self._correct(plan, options, current)
        nothing = nothing_left(belief)
        why = (
            f"Nothing that is left to check or put right is worth its cost; {_percent(nothing)} "
            "that nothing listed explains it. A specialist should see it."
        )
        return Step("hand-over", "", why, self.costs.hand_over, "", tuple(options), current)

    def _blocking(self, now: Standing, marginal: Floats, options: list[Option]) -> list[str]:
        """Outside causes that may explain it and can still be checked from outside."""
        floor = self._rules.policy.outside_floor
        open_nodes = {o.node for o in options if not self._opens(o.observation)}
        order = np.argsort(-marginal, kind="stable")
        return [
            self._model.network.causes[n]
            for n in order
            if marginal[n] >= floor
            and not self._inside[n]
            and self._checks.get(self._model.network.causes[n], set()) & open_nodes
        ]

    def _opens(self, observation: str) -> bool:
        return self._rules.observations[observation].opens

    @staticmethod
    def _best_of(options: Iterable[Option]) -> Option | None:
        return max(options, key=lambda o: (o.net, o.observation), default=None)

    def _observe(
        self,
        option: Option,
        why: str,
        constraint: Literal["", "safety first", "outside before inside"],
        options: list[Option],
        current: float,
    ) -> Step:
        entry = self._rules.observations[option.observation]
        return Step(
            STEP_KINDS[entry.kind],
            option.observation,
            why,
            entry.minutes,
            constraint,
            tuple(options),
            current,
        )

    def _correct(self, plan: Plan, options: list[Option], current: float) -> Step:
        first = plan.corrections[0]
        entry = self._rules.corrections[first]
        why = (
            f"{_percent(plan.chances[0])} likely to be needed for {entry.minutes:g} minutes of "
            "work, and no check left is worth more than it costs."
        )
        return Step("correct", first, why, entry.minutes, "", tuple(options), current)

    def _why_observe(self, belief: Belief, option: Option) -> str:
        """Which leading causes the answer would move, and what it saves."""
        marginal = belief.open_marginal
        causes = self._model.network.causes
        order = np.argsort(-marginal, kind="stable")
        touched = [causes[n] for n in order if option.node in self._checks.get(causes[n], ())]
        names = [_lower_first(self._rules.causes[c].title) for c in touched[:2]]
        about = " and ".join(names) if names else "what is left"
        return (
            f"{_duration(option.minutes)} spent here should save about "
            f"{option.saves:.0f} later: it weighs on {about}."
        )

    def _why_shut(self, blocking: list[str]) -> str:
        title = _lower_first(self._rules.causes[blocking[0]].title)
        return f"Nothing is opened while {title} could still explain it and can be checked."


def _changes_first(sets: CauseSets, posterior: Floats, weights: Floats) -> Floats:
    """For each row of `weights`, 1 where another cause than now would stand first, else 0."""
    first = np.argmax(sets.marginals(posterior))
    return np.asarray((np.argmax(sets.marginals(weights), axis=1) != first).astype(float))


def _kept(belief: Belief) -> tuple[CauseSets, Floats]:
    """The fewest cause sets that hold `KEPT` of the posterior, and their (unscaled) weights."""
    order = np.argsort(-belief.posterior, kind="stable")
    total = np.cumsum(belief.posterior[order])
    rows = order[: int(np.searchsorted(total, KEPT * total[-1])) + 1]
    return belief.sets.take(rows), belief.posterior[rows]


def _checks_by_cause(rules: RuleBase) -> dict[str, set[str]]:
    """Cause -> observations and findings on which it plainly shows (more likely than not)."""
    checks: dict[str, set[str]] = {}
    for link in rules.links:
        if rules.nodes[link.node].kind != "complaint" and 1 - link.chances[0] >= 0.4:
            checks.setdefault(link.cause, set()).add(link.node)
    return checks


def _percent(share: float) -> str:
    return f"{share:.0%}"


def _duration(minutes: float) -> str:
    if minutes < 1:
        return f"{minutes * 60:.0f} seconds"
    return f"{minutes:g} minute{'' if minutes == 1 else 's'}"


def _lower_first(text: str) -> str:
    return text[:1].lower() + text[1:]
