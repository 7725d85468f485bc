"""Rules that can never hold, that repeat another, that another overrules or speaks against, and
findings that say again what is known."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

from rules.language.conditions import names_in
from rules.language.schema import Condition, Rule
from rules.loading.reach import Demands, Reach, alternatives
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
    yield from _counted_twice(rules)
    yield from _never_concluded(rules, reach)


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
            return
    if ranks[0] != ranks[1] and not (forth or back):
        meeting = [(a, b) for a in possible[one] for b in possible[other] if a.meets(b)]
        if any(_speak_against(rules, a, b, telling=min(ranks) > 0) for a, b in meeting):
            message = (
                f"both this and {one} can hold at once, and {one} concludes {states[ranks[0]]!r}; "
                "make one narrower, or add a rule with a `contradiction` for when both hold"
            )
            yield doubt(rules, ("rules", other), where, "contradictory", message)


def _speak_against(rules: RuleBase, one: Demands, other: Demands, *, telling: bool) -> bool:
    """Whether two alternatives that can be met at once are a slip. Two states out of the ordinary
    are, unless a contradiction of the pack looks at what both rest on; the normal state beside
    another is where both judge the same facts, since otherwise the more telling is meant to
    stand."""
    if not telling:
        return one.known == other.known and not one.others and not other.others
    return not any(
        one.known & seen and other.known & seen
        for rule in rules.rules.values()
        if rule.then.contradiction is not None
        for seen in [set(names_in(rule.when))]
    )


def _counted_twice(rules: RuleBase) -> Iterator[Doubt]:
    """Findings that a cause shows beside everything that they are concluded from."""
    shown: dict[str, set[str]] = {}
    for link in rules.links:
        shown.setdefault(link.node, set()).add(link.cause)
    for key, rule in rules.rules.items():
        for finding, state in (rule.then.finding or {}).items():
            if state == next(iter(rules.findings[finding].states)):
                continue
            for terms in alternatives(rule.when):
                rests = [leaf for wanted, leaf in terms if wanted]
                if not rests or not all(_is_of_one(leaf) for leaf in rests):
                    continue
                causes = shown.get(finding, set()).intersection(
                    *(shown.get(leaf.names[0], set()) for leaf in rests)
                )
                for cause in sorted(causes):
                    facts = " and ".join(dict.fromkeys(leaf.names[0] for leaf in rests))
                    message = (
                        f"{cause} shows {finding}, and {facts} too, from which it is concluded: "
                        f"the same fact counts twice. Take one of them out of what {cause} shows"
                    )
                    where = ("then", "finding", finding)
                    yield doubt(rules, ("rules", key), where, "counted-twice", message)


def _is_of_one(leaf: Condition) -> bool:
    """Whether a condition looks at one fact or reading, and does not compare two."""
    return len(leaf.names) == 1


def _never_concluded(rules: RuleBase, reach: Reach) -> Iterator[Doubt]:
    """States of findings and of readings that nothing leads to."""
    for key, finding in rules.findings.items():
        for state in list(finding.states)[1:]:
            if state not in reach.states(key):
                message = f"no rule concludes {state!r}; write one, or take the state out"
                yield doubt(rules, ("findings", key), ("states", state), "never", message)
    for key, entry in rules.observations.items():
        if not entry.bands:
            continue
        for state in list(entry.states)[1:]:
            if state not in reach.states(key) and state not in entry.in_words.values():
                message = f"no band gives {state!r}; write one, or take the state out"
                yield doubt(rules, ("observations", key), ("states", state), "never", message)


def _state(rule: Rule, finding: str) -> str:
    assert rule.then.finding is not None
    return rule.then.finding[finding]


def _implies(these: list[Demands], those: list[Demands]) -> bool:
    return bool(these) and all(any(a.implies(b) for b in those) for a in these)
