"""Simulated bikes that do not contradict themselves, for cases that a person works on.

Answers are drawn one by one, so now and then they cannot all be true, or something dangerous turns
up that has nothing to do with what is wrong. The model allows for both, but a case for a trainee
should have neither: what clashes is drawn again, together, until it agrees. That draws from the
same model, on condition that nothing clashes.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from diagnose.case.events import Case
from diagnose.case.figures import figure_of
from diagnose.findings.plain_reasoning import holds
from diagnose.simulation.simulated_bike import GivenFacts, SimulatedBike, Truth
from rules.language.conditions import leaves, names_in
from rules.language.schema import Rule
from rules.rulebase import RuleBase
from rules.units.quantities import Quantity

_MOST_TURNS = 60


def agreeing(rules: RuleBase, truth: Truth, seed: int, known: GivenFacts) -> GivenFacts:
    """`known` with redraws that leave no contradiction, and no reason not to ride without a cause.

    Written answers are never drawn again: where they contradict each other, they stay as they are.
    """
    watched = {
        key: frozenset(names_in(rule.when))
        for key, rule in rules.rules.items()
        if rule.then.contradiction is not None or rule.then.do_not_ride is not None
    }
    shown = {link.node for link in rules.links if link.cause in truth.causes}
    redrawn: dict[str, int] = {}
    facts = _Facts(rules, truth, seed, known)
    for _ in range(_MOST_TURNS):
        facts.look(redrawn)
        wrong = {
            name
            for key in watched
            if facts.hold(rules.rules[key])
            and not (rules.rules[key].then.do_not_ride and watched[key] & shown)
            for name in watched[key]
            if name in facts.states and name not in known.answers
        }
        if not wrong:
            break
        for name in sorted(wrong):
            redrawn[name] = redrawn.get(name, 0) + 1
    return replace(known, redrawn=redrawn)


class _Facts:
    """Everything the watched rules look at, as the bike has it."""

    def __init__(self, rules: RuleBase, truth: Truth, seed: int, known: GivenFacts) -> None:
        self._rules = rules
        self._make = (rules, truth, seed)
        self._known = known
        self._turns: dict[str, int] = {}
        self.states: dict[str, str] = {}
        self._readings: dict[str, float] = {}
        case = Case(truth.machine, known.targets)
        self._targets: Mapping[str, Quantity] = {
            name: figure_of(rules, case, entry.target).value
            for name, entry in rules.observations.items()
            if entry.target is not None
        }
        self._said = {said.key: "yes" for said in (truth.complaint, *truth.also)}

    def look(self, redrawn: Mapping[str, int]) -> None:
        """Ask the bike again what has changed with these redraws."""
        bike = SimulatedBike(*self._make, replace(self._known, redrawn=redrawn))
        changed = [n for n in self._nodes() if redrawn.get(n, 0) != self._turns.get(n, -1)]
        for name in changed:
            written = self._known.answers.get(name)
            state = written.state if written is not None else None
            self.states[name] = state or bike.state_of(name)
            self._turns[name] = redrawn.get(name, 0)
        for name in self._measured():
            reading = bike.answer(name).reading
            if reading is not None:
                unit = self._rules.observations[name].unit
                assert unit is not None
                self._readings[name] = reading.to(unit).value

    def hold(self, rule: Rule) -> bool:
        """Whether the rule's condition holds for the bike."""
        states = {**self.states, **self._said}
        return holds(self._rules, rule.when, states, self._readings, self._targets)

    def _nodes(self) -> Iterator[str]:
        traits = self._make[1].machine
        for name, node in self._rules.nodes.items():
            if node.kind == "finding":
                yield name
            elif node.kind == "observation":
                needs = self._rules.observations[name].needs
                if all(traits[trait] in options for trait, options in needs.items()):
                    yield name

    def _measured(self) -> Iterator[str]:
        """The measurements whose readings, not only their states, a watched rule compares."""
        seen: dict[str, None] = {}
        for rule in self._rules.rules.values():
            if rule.then.contradiction is not None or rule.then.do_not_ride is not None:
                for leaf, _ in leaves(rule.when):
                    if leaf.reading is not None:
                        others = (leaf.reading, leaf.exceeds, leaf.differs_from)
                        seen.update((name, None) for name in others if name is not None)
        return iter(name for name in seen if self._rules.observations[name].is_evidence)
