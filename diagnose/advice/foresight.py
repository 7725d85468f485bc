"""What an observation not yet made could show, and where each answer would leave the causes."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from diagnose.advice.pricing import Option
from diagnose.case.events import standing
from diagnose.inference.answer_table import answer_table
from diagnose.inference.evidence import Evidence, settled_by
from diagnose.inference.posterior import Belief, Model
from diagnose.inference.terms import Floats


@dataclass(frozen=True, slots=True)
class Outcome:
    """One possible answer: how likely it is, and the probability of each cause once it is given."""

    state: str
    chance: float
    causes: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Swing:
    """An open observation and how far its answers could move one cause."""

    observation: str
    node: str
    lowest: float
    highest: float

    @property
    def width(self) -> float:
        """Between the answer that leaves the cause least and the one that leaves it most likely."""
        return self.highest - self.lowest


def outcomes(model: Model, belief: Belief, node: str) -> tuple[Outcome, ...]:
    """Every answer `node` could still give, in the order of its states, the impossible left out."""
    return _outcomes(model, belief, [node])[node]


def _outcomes(model: Model, belief: Belief, nodes: list[str]) -> dict[str, tuple[Outcome, ...]]:
    table = answer_table(model.network, belief, nodes)
    done = standing(belief.case).corrections
    found: dict[str, list[Outcome]] = {node: [] for node in nodes}
    for owner, state, chance, shares in zip(
        table.owner, table.state, table.chance, table.causes, strict=True
    ):
        if chance > 0:
            name = model.rules.nodes[nodes[owner]].states[state]
            settled = _settled(model, belief, done, nodes[owner], name)
            after = shares if settled is None else settled
            causes = dict(zip(model.network.causes, after.tolist(), strict=True))
            found[nodes[owner]].append(Outcome(name, float(chance), causes))
    return {node: tuple(answers) for node, answers in found.items()}


def _settled(
    model: Model, belief: Belief, done: tuple[str, ...], node: str, state: str
) -> Floats | None:
    """Chance of each cause once a state is seen that settles or clears one; None for others."""
    settles, clears = settled_by(model.rules, belief.case, belief.findings.states, node, state)
    if not settles and not clears:
        return None
    seen = Evidence("node", node, state, (node,), done, settles=settles, clears=clears)
    return model.weigh([*belief.evidence, seen], belief.applies).marginal


def foresee(
    model: Model, belief: Belief, options: Iterable[Option]
) -> dict[str, tuple[Outcome, ...]]:
    """The outcomes of every observation that is still open, by node."""
    return _outcomes(model, belief, list(dict.fromkeys(option.node for option in options)))


def swings(
    options: Iterable[Option], foreseen: Mapping[str, tuple[Outcome, ...]], cause: str
) -> tuple[Swing, ...]:
    """The open observations that could move `cause`, furthest first, ties by id.

    An option that `foreseen` says nothing of is left out.
    """
    found = []
    for option in options:
        after = [outcome.causes[cause] for outcome in foreseen.get(option.node, ())]
        if after:
            found.append(Swing(option.observation, option.node, min(after), max(after)))
    return tuple(sorted(found, key=lambda swing: (-swing.width, swing.node)))
