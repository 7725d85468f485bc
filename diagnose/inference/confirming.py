"""Which observations can confirm which causes."""

from __future__ import annotations

from collections.abc import Mapping

from rules.rulebase import Link, Node, RuleBase

# A check shows the cause about as often as not at least, and at least this many times more often
# than it shows when the cause is absent. Computed from the pack's own strengths.
LEAST_SHOWN = 0.4
LEAST_RATIO = 5.0


def is_check(node: Node, link: Link) -> bool:
    """Whether seeing `node` can confirm the link's cause."""
    return node.kind != "complaint" and any(
        shown >= LEAST_SHOWN and shown >= LEAST_RATIO * seen_anyway
        for shown, seen_anyway in zip(link.chances[1:], node.background[1:], strict=True)
    )


def checks_by_cause(rules: RuleBase) -> Mapping[str, frozenset[str]]:
    """Cause -> the nodes that can confirm it: those that settle it, and those that show it well."""
    checks: dict[str, set[str]] = {cause: set() for cause in rules.causes}
    for observation, entry in rules.observations.items():
        for cause in entry.settles:
            checks[cause].add(observation)
    for link in rules.links:
        if is_check(rules.nodes[link.node], link):
            checks[link.cause].add(link.node)
    return {cause: frozenset(nodes) for cause, nodes in checks.items()}


def causes_by_check(checks: Mapping[str, frozenset[str]]) -> Mapping[str, list[str]]:
    """Node -> the causes that it can confirm, in the order of `checks` (cause -> nodes)."""
    confirmed: dict[str, list[str]] = {}
    for cause, nodes in checks.items():
        for node in nodes:
            confirmed.setdefault(node, []).append(cause)
    return confirmed


def causes_by_node(rules: RuleBase) -> Mapping[str, frozenset[str]]:
    """Node -> the causes that show on it at all."""
    causes: dict[str, set[str]] = {node: set() for node in rules.nodes}
    for link in rules.links:
        causes[link.node].add(link.cause)
    return {node: frozenset(names) for node, names in causes.items()}
