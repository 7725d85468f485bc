"""Rules that can never hold, that repeat another, or that another always overrules."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

from rules.language.schema import Rule
from rules.loading.reach import Demands, Reach
from rules.review.doubts import Doubt, doubt
from rules.rulebase import RuleBase


def rule_doubts(rules: RuleBase) -> Iterator[Doubt]:
    """Every doubt about the rules of a pack."""
    reach = Reach(rules)
    possible: dict[str, list[Demands]] = {}
    for key, rule in rules.rules.items():
        demands = reach.demands(rule.when)
        possible[key] = [demand for demand in demands if demand.possible]
        if not possible[key]:
            message = "no facts can make it hold; look for two demands that cannot both be met"
            yield doubt(rules, ("rules", key), ("when",), "unreachable", message)
        elif len(possible[key]) < len(demands):
            message = (
                f"{len(demands) - len(possible[key])} of its {len(demands)} alternatives can never "
                "hold; take them out or mend them"
            )
            yield doubt(rules, ("rules", key), ("when",), "unreachable", message)
    by_finding: dict[str, list[str]] = {}
    for key, rule in rules.rules.items():
        for finding in rule.then.finding or {}:
            by_finding.setdefault(finding, []).append(key)
    for finding, keys in by_finding.items():
        states = list(rules.findings[finding].states)
        for one, other in itertools.combinations(keys, 2):
            yield from _clash(rules, finding, states, (one, other), possible)


def _clash(
    rules: RuleBase,
    finding: str,
    states: list[str],
    pair: tuple[str, str],
    possible: dict[str, list[Demands]],
) -> Iterator[Doubt]:
    """Doubts about two rules that conclude the same finding. The later one written is named."""
    one, other = pair
    forth, back = _implies(possible[one], possible[other]), _implies(possible[other], possible[one])
    ranks = [states.index(_state(rules.rules[key], finding)) for key in pair]
    where = ("then", "finding", finding)
    if forth and back:
        if ranks[0] == ranks[1]:
            message = f"it says again what {one} says; take one of them out"
            yield doubt(rules, ("rules", other), ("when",), "repeated", message)
        else:
            message = (
                f"{one} concludes {states[ranks[0]]!r} from the same facts; only one can be right"
            )
            yield doubt(rules, ("rules", other), where, "contradictory", message)
        return
    for narrow, wide, holds, rank, above in (
        (one, other, forth, ranks[0], ranks[1]),
        (other, one, back, ranks[1], ranks[0]),
    ):
        if holds and rank < above:
            message = (
                f"whenever it holds {wide} holds too and concludes {states[above]!r}, which is "
                "listed after it and stands; make one of the conditions narrower"
            )
            yield doubt(rules, ("rules", narrow), where, "contradictory", message)


def _state(rule: Rule, finding: str) -> str:
    assert rule.then.finding is not None
    return rule.then.finding[finding]


def _implies(these: list[Demands], those: list[Demands]) -> bool:
    return bool(these) and all(any(a.implies(b) for b in those) for a in these)
