"""A bike with a hidden truth, drawn from the same model that judges it.

What each cause adds to each observation is drawn once, so a bike that is asked twice answers the
same. A correction takes away what the corrected causes produced, and what the checks of those
causes show without them: a part that was put right is sound when it is looked at again. Computed
findings are not drawn: they follow from the readings.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from diagnose.case.events import Answered, Case, Complained, RideReport, machine_traits
from diagnose.findings.plain_reasoning import holds
from diagnose.inference.confirming import is_check
from diagnose.inference.evidence import nodes_of
from diagnose.simulation.chance import Dice
from diagnose.simulation.instruments import Instrument, Readings
from rules.language.conditions import names_in
from rules.language.schema import Cause, Person, Way
from rules.rulebase import Node, RuleBase
from rules.units.quantities import Quantity


@dataclass(frozen=True, slots=True)
class Truth:
    """What is really wrong, and what the rider noticed, `also` after the first complaint."""

    causes: tuple[str, ...]
    complaint: Complained
    machine: Mapping[str, str]
    also: tuple[Complained, ...] = ()


@dataclass(frozen=True, slots=True)
class GivenFacts:
    """What is given about a bike besides its truth; everything else is drawn.

    Attributes:
        answers: answers in writing; each holds until a cause that shows there is corrected.
        targets: figures from the bike's manual.
        instruments: how finely instruments are read, by unit.
        redrawn: how often a node's draw was thrown away, see `diagnose.simulation.agreeing`.
    """

    answers: Mapping[str, Answered] = field(default_factory=dict)
    targets: Mapping[str, Quantity] = field(default_factory=dict)
    instruments: Mapping[str, Instrument] = field(default_factory=dict)
    redrawn: Mapping[str, int] = field(default_factory=dict)


class SimulatedBike:
    """Answers, takes corrections and is ridden; what is wrong with it is known only here."""

    def __init__(
        self,
        rules: RuleBase,
        truth: Truth,
        seed: int,
        known: GivenFacts | None = None,
        person: Person | None = None,
    ) -> None:
        self.truth = truth
        self._person = person
        self._rules = rules
        self._seed = seed
        self._known = known or GivenFacts()
        self._links = {(link.cause, link.node): link for link in rules.links}
        self._fixed: frozenset[str] = frozenset()
        self._harmed: frozenset[str] = frozenset()
        self._done: tuple[str, ...] = ()
        self._states: dict[str, str] = {}
        self._behind = self._causes_that_fired()
        self._readings: Readings | None = None

    def as_it_came(self) -> SimulatedBike:
        """The same bike before any work; a reading that both give is worked out once."""
        twin = SimulatedBike(self._rules, self.truth, self._seed, self._known, self._person)
        twin._readings = self._instruments()
        return twin

    def answer(self, observation: str) -> Answered:
        """What making this observation now would show."""
        written = self._known.answers.get(observation)
        if written is not None and not self._touched(observation):
            return written
        entry = self._rules.observations[observation]
        if not self._can_tell(observation, entry.way):
            return Answered(observation)
        if entry.kind == "measurement":
            reading = self._reading(observation)
            known = entry.is_evidence or not self._cannot_be_told(observation, reading)
            return Answered(observation, reading=reading if known else None)
        node = self._rules.nodes.get(observation)
        # what no cause shows, and only rules look at, is normal
        state = entry.normal if node is None else self._state(node)
        if entry.tells is not None:
            kind = self.truth.machine.get(entry.tells, state)
            state = kind if kind in entry.states else state
        return Answered(observation, state=state)

    def _can_tell(self, observation: str, way: Way) -> bool:
        """Whether who answers for the bike knows this, or can find it out; anybody where nobody was
        named."""
        if self._person is None:
            return True
        chance = self._person.answers.get(way, 1.0)
        return self._dice("known", observation).unit() < chance

    def state_of(self, node: str) -> str:
        """The state drawn for a node. Raises `KeyError` for what is no node of the rule base."""
        return self._state(self._rules.nodes[node])

    def correct(self, correction: str) -> None:
        """Carry a correction out: every cause that it puts right is gone."""
        there = {*self.truth.causes, *self._harmed}
        gone = {cause for cause in there if self._rules.causes[cause].correction == correction}
        self._fixed |= gone
        self._done = (*self._done, correction)
        self._states.clear()

    def harm(self, cause: str) -> None:
        """Work has left the bike with a cause that it did not have."""
        self._harmed |= {cause}
        self._fixed -= {cause}
        self._states.clear()

    def ride(self, before: frozenset[str], about: Complained | None = None) -> RideReport:
        """What the rider reports of a complaint (of the whole where `about` is None), given which
        causes had been put right, or brought in by work, at the ride before."""
        behind = self._behind if about is None else self.behind_one(about)
        harm = self._harm_felt(
            self._complained_of() if about is None else nodes_of(self._rules, about)
        )
        if harm - before:
            return "worse"
        left = (behind | harm) - self._fixed
        helped = (behind & self._fixed) - before
        column = (1 if helped else 2) if left else (0 if helped else 3)
        rows = list(self._rules.policy.ride_report.items())
        apart = (about.key,) if about is not None and self.truth.also else ()
        dice = self._dice("ride", *sorted(self._fixed), *apart)
        return rows[dice.pick([shares[column] for _, shares in rows])][0]

    def felt(self) -> tuple[Complained, ...]:
        """Every complaint that a true cause makes now."""
        nodes = [node.id for node in self._rules.nodes.values() if node.kind == "complaint"]
        parts = (
            n.partition("/")
            for n in nodes
            if self.shown_at(n) - self._fixed or self._harm_felt([n])
        )
        return tuple(Complained(name, place or None) for name, _, place in parts)

    def shown_at(self, node: str) -> frozenset[str]:
        """The true causes that by themselves show at a node, put right since or not."""
        return frozenset(c for c in self.truth.causes if self._shown(c, node) > 0)

    @property
    def fixed(self) -> frozenset[str]:
        """The true causes that have been put right."""
        return self._fixed

    @property
    def harmed(self) -> frozenset[str]:
        """The causes that work has brought in, put right since or not."""
        return self._harmed

    @property
    def behind(self) -> frozenset[str]:
        """The true causes that really produced the complaint."""
        return self._behind

    def behind_one(self, complaint: Complained) -> frozenset[str]:
        """The true causes that really produced one complaint."""
        return self._fired_at(nodes_of(self._rules, complaint)) or self._behind

    @property
    def is_cured(self) -> bool:
        """Whether nothing is left that produces the complaint."""
        return not (self._behind - self._fixed or self._harm_felt(self._complained_of()))

    def _harm_felt(self, nodes: Sequence[str]) -> frozenset[str]:
        """What work has brought in, is still there and shows at some of these complaints."""
        there = self._harmed - self._fixed
        return frozenset(c for c in there if any(self._shown(c, node) > 0 for node in nodes))

    def _dice(self, *words: str) -> Dice:
        return Dice(self._seed, *words)

    def _causes_that_fired(self) -> frozenset[str]:
        """The true causes whose links really produced a complaint; all able ones if none did."""
        return self._fired_at(self._complained_of()) or frozenset(self.truth.causes)

    def _fired_at(self, nodes: Sequence[str]) -> frozenset[str]:
        """Those that really show at some nodes; all that can if none does."""
        fired = frozenset(cause for node in nodes for cause in self.shown_at(node))
        return fired or self._able_at(nodes)

    def _able_at(self, nodes: Sequence[str]) -> frozenset[str]:
        links = self._links
        return frozenset(c for c in self.truth.causes if any((c, node) in links for node in nodes))

    @property
    def able(self) -> frozenset[str]:
        """The true causes that can produce a complaint the rider has."""
        return self._able_at(self._complained_of())

    def _complained_of(self) -> tuple[str, ...]:
        said = (self.truth.complaint, *self.truth.also)
        return tuple(node for one in said for node in nodes_of(self._rules, one))

    def _shown(self, cause: str, node: str) -> int:
        """The state this cause alone produces; the same draw for as long as the case lasts."""
        link = self._links.get((cause, node))
        if link is None:
            return 0
        return _draw(self._dice("shows", cause, node, *self._turn(node)), link.chances)

    def _turn(self, node: str) -> tuple[str, ...]:
        turn = self._known.redrawn.get(node, 0)
        return (str(turn),) if turn else ()

    def _state(self, node: Node) -> str:
        """The node's state now; drawn once and kept until something is changed."""
        if node.id not in self._states:
            self._states[node.id] = self._drawn(node)
        return self._states[node.id]

    def _drawn(self, node: Node) -> str:
        work = [name for name in self._done if self._puts_in_order(name, node)]
        words = (*self._turn(node.id), *work)
        seen = _draw(self._dice("background", node.id, *words), node.background)
        if self._would_be_misread(node.id, node.states[seen]):
            seen = 0
        for cause in (*self.truth.causes, *sorted(self._harmed)):
            if cause not in self._fixed:
                seen = max(seen, self._shown(cause, node.id))
        return node.states[seen]

    def _would_be_misread(self, name: str, state: str) -> bool:
        """Whether a state that is a fault seen comes from nothing on this bike. It is then shown
        only as often as such a check is wrong."""
        entry = self._rules.observations.get(name)
        if entry is None or not any(state in states for states in entry.settles.values()):
            return False
        trust = self._rules.policy.reading_trust[entry.kind]
        return self._dice("misread", name).unit() < trust

    def _reading(self, measurement: str) -> Quantity:
        return self._instruments().read(measurement, self.state_of)

    def _instruments(self) -> Readings:
        if self._readings is None:
            case = Case(self.truth.machine, self._known.targets)
            self._readings = Readings(self._rules, case, self._dice, self._known.instruments)
        return self._readings

    def _cannot_be_told(self, measurement: str, reading: Quantity) -> bool:
        """Whether having this reading at all would contradict something else about the bike."""
        rules = self._rules
        for rule in rules.rules.values():
            if rule.then.contradiction is None:
                continue
            names = set(names_in(rule.when))
            if measurement in names:
                states = {name: self._state(rules.nodes[name]) for name in names & set(rules.nodes)}
                if holds(rules, rule.when, states, {measurement: reading.value}, {}):
                    return True
        return False

    def _puts_in_order(self, correction: str, node: Node) -> bool:
        """Whether the work renews what is looked at: a cause it puts right is checked there."""
        return any(
            link.node == node.id and is_check(node, link)
            for link in self._rules.links
            if self._rules.causes[link.cause].correction == correction
        )

    def _touched(self, observation: str) -> bool:
        """Whether work done so far bears on an answer written down before it."""
        return any(
            link.node == observation
            and (
                link.cause in self._harmed
                or self._rules.causes[link.cause].correction in self._done
            )
            for link in self._rules.links
        )


def _draw(dice: Dice, chances: tuple[float, ...]) -> int:
    at, total = dice.unit(), 0.0
    for index, chance in enumerate(chances):
        total += chance
        if at < total:
            return index
    return len(chances) - 1


def applies(cause: Cause, machine: Mapping[str, str]) -> bool:
    """Whether a bike with these traits can have the cause."""
    return all(machine[trait] in options for trait, options in cause.needs.items())


def draw_truth(
    rules: RuleBase, seed: int, machine: Mapping[str, str] | None = None, most: int = 2
) -> Truth:
    """A truth drawn from the priors: 1 to `most` causes, and a complaint that they make.

    The same seed and `machine` give the same truth.
    """
    traits = machine_traits(rules, Case(machine or {}))
    rng = np.random.default_rng([seed, 0])
    possible = [key for key, cause in rules.causes.items() if applies(cause, traits)]
    priors = np.array([rules.causes[key].per_100 / 100 for key in possible])
    links = {(link.cause, link.node): link.chances for link in rules.links}
    nodes = [node for node in rules.nodes.values() if node.kind == "complaint"]
    while True:
        causes = tuple(np.array(possible)[rng.random(len(possible)) < priors].tolist())
        if not 1 <= len(causes) <= most:
            continue
        felt = [
            node.id
            for node in nodes
            if any(
                (cause, node.id) in links and _fired(rng, links[(cause, node.id)])
                for cause in causes
            )
        ]
        if felt:
            name, _, place = felt[int(rng.integers(len(felt)))].partition("/")
            return Truth(causes, Complained(name, place or None), traits)


def _fired(rng: np.random.Generator, chances: tuple[float, ...]) -> bool:
    return bool(rng.random() >= chances[0])
