"""Packs small enough to search: their problem as the simulator draws it, and the advice on it."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping, Sequence

from diagnose.advice.assessor import Assessor
from diagnose.advice.planning import OBSERVING
from diagnose.case.events import RIDE_REPORTS, Answered, Case, Complained, Corrected, Rode
from diagnose.inference.evidence import nodes_of
from diagnose.simulation.simulated_bike import applies
from rules.rulebase import Node, RuleBase
from tests.oracles.optimum import PROVEN, Hypothesis, Look, Search, Small, State, Work

_SELDOM = 1e-5
_MOST = 6  # more causes or checks take hours to search


def small_problem(assessor: Assessor, complained: Complained, machine: Mapping[str, str]) -> Small:
    """A pack's problem for one complaint, as the simulator draws it.

    A handful of causes and of questions or inspections bear on it; measurements and findings are
    not searched.
    """
    rules = assessor.rules
    able = _able(rules, complained, machine)
    bearing = {link.node for link in rules.links if link.cause in able}
    nodes = [
        node for key, node in rules.nodes.items() if key in bearing and node.kind != "complaint"
    ]
    assert not [n for n in nodes if n.kind == "finding" or rules.observations[n.id].unit]
    assert max(len(able), len(nodes)) <= _MOST
    works = {}
    for name in dict.fromkeys(rules.causes[cause].correction for cause in able):
        entry = rules.corrections[name]
        minutes = (
            entry.minutes + rules.policy.parts_minutes[entry.parts] + rules.policy.ride_minutes
        )
        fixes = frozenset(c for c in able if rules.causes[c].correction == name)
        works[name] = Work(minutes, fixes)
    links = {(link.cause, link.node): link.chances for link in rules.links}

    def look(node: Node) -> Look:
        def results(causes: frozenset[str]) -> Mapping[str, float]:
            given = [links[(c, node.id)] for c in sorted(causes) if (c, node.id) in links]
            cumulative = list(itertools.accumulate(node.background))
            for chances in given:
                own = itertools.accumulate(chances)
                cumulative = [one * other for one, other in zip(cumulative, own, strict=True)]
            steps = [b - a for a, b in zip([0.0, *cumulative], cumulative, strict=False)]
            return dict(zip(node.states, steps, strict=True))

        minutes = rules.observations[node.id].minutes + rules.policy.attention_minutes
        return Look(minutes, results)

    return Small(
        tuple(_hypotheses(assessor, complained, able)),
        {node.id: look(node) for node in nodes},
        works,
        rules.policy.minutes_to_hand_over(),
        {report: rules.policy.ride_report[report] for report in RIDE_REPORTS},
    )


def _able(rules: RuleBase, complained: Complained, machine: Mapping[str, str]) -> list[str]:
    nodes = nodes_of(rules, complained)
    able = {link.cause for link in rules.links if link.node in nodes}
    return [key for key, cause in rules.causes.items() if key in able and applies(cause, machine)]


def _hypotheses(
    assessor: Assessor, complained: Complained, able: Sequence[str]
) -> Iterator[Hypothesis]:
    """Any number of causes at once, at least one of them behind the complaint."""
    rules = assessor.rules
    nodes = nodes_of(rules, complained)
    silent = dict.fromkeys(able, 1.0)
    for link in rules.links:
        if link.cause in silent and link.node in nodes:
            silent[link.cause] *= link.chances[0]
    found = []
    for size in range(1, len(able) + 1):
        for causes in itertools.combinations(able, size):
            chance = 1.0
            for cause in able:
                prior = rules.causes[cause].per_100 / 100
                chance *= prior if cause in causes else 1 - prior
            for heard in itertools.product((True, False), repeat=size):
                behind = frozenset(c for c, is_heard in zip(causes, heard, strict=True) if is_heard)
                share = chance
                for cause in causes:
                    share *= 1 - silent[cause] if cause in behind else silent[cause]
                if behind and share > 0:
                    found.append(Hypothesis(frozenset(causes), behind, share))
    total = sum(hypothesis.chance for hypothesis in found)
    for item in found:
        yield Hypothesis(item.causes, item.behind, item.chance / total)


def cost_as_advised(assessor: Assessor, problem: Small, case: Case) -> float:
    """Expected minutes when the assessor's own advice is followed, over the same states.

    `case` holds the complaint and nothing else. What is reached less often than `_SELDOM` is priced
    as handed over there, so that the result is never too low by this and too high by very little.
    Raises what `Assessor.assess` raises.
    """
    search = Search(problem)

    def value(state: State, so_far: Case, reached: float) -> float:
        if reached < _SELDOM:
            return problem.hand_over
        step = assessor.assess(so_far).step
        target = step.target
        cost = 0.0
        if step.kind in OBSERVING.values():
            for result, chance, after in search.look(state, target):
                seen = so_far.with_event(Answered(target, state=result))
                cost += chance * value(after, seen, reached * chance)
            return problem.looks[target].minutes + cost
        if step.kind != "correct":
            return problem.hand_over
        corrected = so_far.with_event(Corrected(target))
        for report, chance, after in search.work(state, target):
            if report != PROVEN:
                rode = next(name for name in RIDE_REPORTS if name == report)
                ridden = corrected.with_event(Rode(rode))
                cost += chance * value(after, ridden, reached * chance)
        return problem.works[target].minutes + cost

    return value(search.start, case, 1.0)
