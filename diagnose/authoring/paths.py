"""What ties a cause to a complaint, observation or finding, in numbers."""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.advice.confirming import is_check
from diagnose.authoring.strengths import link_origin
from rules.rulebase import Link, Node, RuleBase
from rules.written import Origin


@dataclass(frozen=True, slots=True)
class StateSupport:
    """One state. `shown` is how likely the cause alone gives it, `anyway` how often it is seen
    without the cause, and `factor` how many times as often it is seen with the cause, background
    and all, as without (the likelihood ratio)."""

    state: str
    word: str
    shown: float
    anyway: float
    factor: float


@dataclass(frozen=True, slots=True)
class Support:
    """A link as evidence. `absent` is the likelihood ratio of the normal state; `confirms` says
    whether seeing it can confirm the cause."""

    node: str
    states: tuple[StateSupport, ...]
    absent: float
    confirms: bool
    origin: Origin


def supports(rules: RuleBase, cause: str) -> list[Support]:
    """Every link of a cause, in the order of the pack."""
    return [
        _support(rules, rules.nodes[link.node], link) for link in rules.links if link.cause == cause
    ]


def _support(rules: RuleBase, node: Node, link: Link) -> Support:
    with_it = seen_with(node, link.chances)
    states = tuple(
        StateSupport(
            state,
            word,
            link.chances[node.index(state)],
            node.background[node.index(state)],
            with_it[node.index(state)] / node.background[node.index(state)],
        )
        for state, word in link.words.items()
    )
    absent = with_it[0] / node.background[0]
    return Support(node.id, states, absent, is_check(node, link), link_origin(rules, link))


def seen_with(node: Node, shown: tuple[float, ...]) -> tuple[float, ...]:
    """Probability of each state with the cause there and the background as ever: the more telling
    of the two is seen, so their P(state <= k) multiply (noisy-MAX)."""
    below_shown = below_seen = before = 0.0
    states = []
    for one, other in zip(shown, node.background, strict=True):
        below_shown += one
        below_seen += other
        states.append(below_shown * below_seen - before)
        before = below_shown * below_seen
    return tuple(states)
