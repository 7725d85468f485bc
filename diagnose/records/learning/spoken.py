"""What was measured or seen and spoke for a cause, before it was put right."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import accumulate

from diagnose.case.events import Case, standing
from diagnose.findings.concluding import FindingsEngine
from diagnose.inference.evidence import gather
from rules.rulebase import Link, Node, RuleBase

SEEN_OR_MEASURED = ("measurement", "inspection")
"""The kinds of observation that are proof; what was remembered, asked or felt is none."""


def spoke_for(engine: FindingsEngine, rules: RuleBase, case: Case, cause: str) -> tuple[str, ...]:
    """The observations that were made by measuring or looking and made `cause` likelier, by
    themselves or through a finding drawn from them, in the order they were made."""
    links = {link.node: link for link in rules.links if link.cause == cause}
    _, evidence = gather(engine, rules, case)
    telling: list[str] = []
    for piece in evidence:
        if piece.kind != "node":
            continue
        link = links.get(piece.key)
        if cause in piece.settles or (
            link is not None and makes_likelier(link, rules.nodes[piece.key], piece.state)
        ):
            telling += _observations(engine, rules, piece.key)
    made = [
        name
        for name, answer in standing(case).answers.items()
        if answer.is_known and rules.observations[name].kind in SEEN_OR_MEASURED
    ]
    return tuple(name for name in made if name in telling)


def makes_likelier(link: Link, node: Node, state: str) -> bool:
    """Whether a node in this state is likelier with the cause at work than without."""
    leak = list(accumulate(node.background))
    both = [min(a * b, 1.0) for a, b in zip(accumulate(link.chances), leak, strict=True)]
    number = node.index(state)
    with_it = both[number] - (both[number - 1] if number else 0.0)
    return with_it > node.background[number] * (1 + 1e-9)


def _observations(engine: FindingsEngine, rules: RuleBase, node: str) -> Iterable[str]:
    """The observations behind a node, through any findings."""
    if node not in rules.findings:
        return [node]
    return [
        name for source in engine.sources_of(node) for name in _observations(engine, rules, source)
    ]
