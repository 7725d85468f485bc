"""From facts to findings: what the engine concludes about a case."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from collections.abc import Set as AbstractSet
from contextlib import closing
from dataclasses import dataclass, field, replace

from diagnose.case.events import (
    Answered,
    Case,
    Complained,
    Corrected,
    Standing,
    machine_traits,
    standing,
)
from diagnose.case.figures import Figure, figure_of
from diagnose.findings.bands import bands_of, comparable, reading_bands, state_of_reading
from diagnose.findings.compiling import Compiled, compile_rules
from diagnose.findings.computed import COMPUTATIONS, Reading, check_computed
from diagnose.findings.engine import EngineError, RuleSet
from diagnose.findings.plain_reasoning import PlainReasoner
from diagnose.findings.reasoning import EngineReasoner, Reasoner
from rules.language.conditions import leaves, names_in, rule_layers
from rules.language.schema import Computed, Observation
from rules.problems import FileProblems, Problem
from rules.rulebase import RuleBase
from rules.units.quantities import Quantity

MOST_BELIEVED = 0.5
"""What a reading may weigh at most for a fault by a rule of thumb or a figure for its kind: half of
one held to the bike's own figure. At the usual figure it counts in full for nothing being off (both
our own choice)."""


@dataclass(frozen=True, slots=True)
class Contradiction:
    """Answers that cannot all be true, and which to check again."""

    rule: str
    text: str
    check: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Raised:
    """A caution id or a do-not-ride reason, and the rule that raised it."""

    text: str
    rule: str


@dataclass(frozen=True, slots=True)
class Unjudged:
    """The state that a reading would be in by a figure that is not the bike's own, and how much of
    that is to be believed, from 0 to 1."""

    state: str
    weight: float


@dataclass(frozen=True, slots=True)
class Findings:
    """What is known of a case, and what rules raised.

    `states`: state by trait, complaint, observation and finding.
    `rules_behind`: by finding that rules concluded, the rules that say so.
    `contradictions`, `cautions`, `do_not_ride`: what rules raised, by their ids.
    `not_applicable`: causes and observations that this bike cannot have.
    `computed`: the number behind each computed finding that there were readings enough for.
    `unjudged`: by measurement, what a reading would mean by a figure that may not judge it. Nothing
    follows from such a reading but what rules draw from it without that figure.
    `by_kind`: the measurements held to a figure that is not the bike's own, unless no bike at all
    is safe with the reading. No ban rests on those alone.
    """

    states: Mapping[str, str]
    rules_behind: Mapping[str, tuple[str, ...]]
    contradictions: tuple[Contradiction, ...]
    cautions: tuple[Raised, ...]
    do_not_ride: tuple[Raised, ...]
    not_applicable: frozenset[str]
    computed: Mapping[str, Quantity] = field(default_factory=dict)
    unjudged: Mapping[str, Unjudged] = field(default_factory=dict)
    by_kind: frozenset[str] = frozenset()


@dataclass(slots=True)
class _Held:
    """How the readings of one working through were held to their figures: see `Findings`."""

    unjudged: dict[str, Unjudged] = field(default_factory=dict)
    by_kind: set[str] = field(default_factory=set)


class FindingsEngine:
    """Draws conclusions from cases by a pack's rules; `conclude` may be called for many cases.

    Rules of equal content share one compiled form in the process, so another engine for the same
    pack, also with figures learned from a shop's cases, takes hardly any memory.

    With `plainly` the rules are evaluated by `diagnose.findings.plain_reasoning`, without
    durable-rules; the findings are the same.

    Raises `FileProblems` or `EngineError` for rules beyond what the engine can hold.
    """

    def __init__(self, rules: RuleBase, *, plainly: bool = False) -> None:
        check_computed(rules)
        self._rules = rules
        self._layers = rule_layers(rules.rules)
        self._settled_at = self._finding_layers()
        self._engine = None if plainly else _compiled(rules, self._layers)
        self.inputs = finding_inputs(rules)
        self._judged_for = _judged_for(rules)
        self._changed_by = _changed_by(rules)

    def _finding_layers(self) -> dict[int, list[str]]:
        """Layer -> findings whose last rule stands in it."""
        last: dict[str, int] = {}
        for number, layer in enumerate(self._layers):
            for key in layer:
                for finding in self._rules.rules[key].then.finding or {}:
                    last[finding] = max(last.get(finding, 0), number)
        settled: dict[int, list[str]] = {}
        for finding, number in last.items():
            settled.setdefault(number, []).append(finding)
        return settled

    def conclude(self, case: Case, now: Standing | None = None) -> Findings:
        """What follows from the case as it stands; `now` is its `standing`, where that is at hand.

        Each call starts from the answers that stand now. A reason not to ride stays when the answer
        behind it becomes 'don't know'. Raises `EngineError`.
        """
        now = now or standing(case)
        found = self._concluded(case, now)
        if not now.known_before:
            return found
        as_known = replace(now, answers={**now.answers, **now.known_before})
        before = self._concluded(case, as_known).do_not_ride
        held = [raised for raised in before if raised not in found.do_not_ride]
        return replace(found, do_not_ride=(*found.do_not_ride, *held))

    def sources_of(self, finding: str) -> tuple[str, ...]:
        """The observations and findings a finding is drawn from, by rules or by computation.

        `inputs` holds only those of rules: nothing is measured just for a computed finding.
        """
        asked = self._rules.findings[finding].computed
        return tuple(asked.inputs.values()) if asked else self.inputs[finding]

    def _reasoner(self) -> Reasoner:
        if self._engine is None:
            return PlainReasoner(self._rules, self._layers)
        compiled, ruleset = self._engine
        return EngineReasoner(compiled, ruleset.session())

    def _concluded(self, case: Case, now: Standing) -> Findings:
        found = self._worked_through(case, now, strictly=False)
        if found.contradictions:
            clashing = tuple(c for c in found.contradictions if self._clashes(c, case, now))
            found = replace(found, contradictions=clashing)
        if not (found.do_not_ride and found.by_kind):
            return found
        sure = self._worked_through(case, now, strictly=True).do_not_ride
        return replace(found, do_not_ride=tuple(r for r in found.do_not_ride if r in sure))

    def _clashes(self, found: Contradiction, case: Case, now: Standing) -> bool:
        """Whether what a contradiction looks at can be held against each other: not where work that
        may have changed one of it was done before another was found, nor where a complaint among it
        is gone."""
        after = _found_after(case, now)
        names = list(names_in(self._rules.rules[found.rule].when))
        for name in names:
            names += [inner for inner in self.inputs.get(name, ()) if inner not in names]
        gone = {one.key for one in now.complaints} - {one.key for one in now.still_felt}
        latest = max((after[name] for name in names if name in after), default=0)
        return gone.isdisjoint(names) and not any(
            self._changed_by.get(name, frozenset(now.corrections)).intersection(
                now.corrections[after[name] : latest]
            )
            for name in names
            if name in after
        )

    def _worked_through(self, case: Case, now: Standing, *, strictly: bool) -> Findings:
        """`strictly`: nothing is judged by a figure on which no ban may rest."""
        with closing(self._reasoner()) as reasoner:
            held = self._tell(reasoner, case, now, strictly)
            reasoner.work()
            computed = self._computed(reasoner, case, now)
            reasoner.work()
            known = {name for name, answer in now.answers.items() if answer.is_known}
            for number in range(len(self._layers)):
                reasoner.work_layer(number)
                for finding in self._settled_at.get(number, ()):
                    open_ones = held.unjudged.keys() & self._judged_for[finding]
                    self._settle(reasoner, finding, known - open_ones)
                reasoner.work()
            return self._findings(reasoner, computed, held)

    def _tell(self, reasoner: Reasoner, case: Case, now: Standing, strictly: bool) -> _Held:
        """Tell what is given: traits, complaints and answers."""
        held = _Held()
        for trait, option in machine_traits(self._rules, case).items():
            reasoner.tell_state(trait, option)
        for complained in now.complaints:
            reasoner.tell_state(complained.key, "yes")
        stale = gone_stale(self._rules, now)
        for name, answer in now.answers.items():
            if name in stale:
                continue
            if answer.state is not None:
                reasoner.tell_state(name, answer.state)
            elif answer.reading is not None:
                self._tell_reading(reasoner, case, name, answer.reading, held, strictly)
        return held

    def _tell_reading(
        self,
        reasoner: Reasoner,
        case: Case,
        name: str,
        reading: Quantity,
        held: _Held,
        strictly: bool,
    ) -> None:
        """Tell a reading with its bands, or bare where its figure may not judge it."""
        entry = self._rules.observations[name]
        assert entry.unit is not None
        value = comparable(reading, entry.unit)
        figure = self._figure(case, name)
        if figure is not None and not figure.forbids(reading):
            held.by_kind.add(name)
            if strictly or not figure.judges(reading):
                held.unjudged[name] = _unjudged(entry, figure, reading, value)
                reasoner.tell_reading(name, value, (), None)
                return
        target = figure.value if figure is not None else None
        reasoner.tell_reading(name, value, tuple(reading_bands(entry, target)), target)

    def _figure(self, case: Case, observation: str) -> Figure | None:
        target = self._rules.observations[observation].target
        return figure_of(self._rules, case, target) if target else None

    def _computed(self, reasoner: Reasoner, case: Case, now: Standing) -> dict[str, Quantity]:
        """The numbers of the computed findings, told to be classified like any reading."""
        numbers = {}
        for name, finding in self._rules.findings.items():
            asked = finding.computed
            number = self._number(reasoner, case, now, asked) if asked else None
            if asked is None or number is None:
                continue
            numbers[name] = number
            normal = next(iter(finding.states))
            # A number in no band is no evidence either way.
            bands = [
                band
                for band in bands_of(asked.bands, asked.unit, normal, None)
                if band.side != "normal"
            ]
            reasoner.tell_reading(name, number.value, bands, None)
        return numbers

    def _number(
        self, reasoner: Reasoner, case: Case, now: Standing, asked: Computed
    ) -> Quantity | None:
        """None where too few of the readings are off, or the computation has nothing to say."""
        readings, off = {}, 0
        for role, observation in asked.inputs.items():
            answer = now.answers.get(observation)
            if answer is None or answer.reading is None or observation in reasoner.hidden:
                continue
            normal = self._rules.observations[observation].normal
            figure = self._figure(case, observation)
            target = figure.value if figure is not None and figure.says_anything else None
            readings[role] = Reading(answer.reading, target)
            off += reasoner.states.get(observation, normal) != normal
        if off < asked.off_inputs:
            return None
        computation = COMPUTATIONS[asked.by]
        number = computation.compute(readings)
        if number is None:
            return None
        return Quantity(round(number, 1), computation.unit).to(asked.unit)

    def _settle(self, reasoner: Reasoner, finding: str, known: AbstractSet[str]) -> None:
        """Where rules conclude several states of a finding, the most telling stands.

        Where none does although everything its rules look at is known, the normal state stands.
        """
        concluded = {state for _, state in self._behind(reasoner, finding)}
        if concluded:
            state = most_telling(self._rules, finding, concluded)
        elif all(name in reasoner.states or name in known for name in self.inputs[finding]):
            state = next(iter(self._rules.findings[finding].states))
        else:
            return
        reasoner.tell_state(finding, state)

    def _behind(self, reasoner: Reasoner, finding: str) -> Iterator[tuple[str, str]]:
        """(rule, state) for every rule that fired and concludes a state of the finding."""
        for key in reasoner.fired:
            state = (self._rules.rules[key].then.finding or {}).get(finding)
            if state is not None:
                yield key, state

    def _findings(
        self, reasoner: Reasoner, computed: Mapping[str, Quantity], held: _Held
    ) -> Findings:
        contradictions, cautions, do_not_ride = [], [], []
        for key in sorted(reasoner.fired):
            then = self._rules.rules[key].then
            if then.contradiction is not None:
                contradictions.append(Contradiction(key, then.contradiction, then.check))
            if then.caution is not None:
                cautions.append(Raised(then.caution, key))
            if then.do_not_ride is not None:
                do_not_ride.append(Raised(then.do_not_ride, key))
        behind = {}
        for finding in self.inputs:
            said = list(self._behind(reasoner, finding))
            if said:
                state = reasoner.states[finding]
                behind[finding] = tuple(key for key, concluded in said if concluded == state)
        return Findings(
            reasoner.states,
            behind,
            tuple(contradictions),
            tuple(cautions),
            tuple(do_not_ride),
            frozenset(reasoner.hidden),
            computed,
            held.unjudged,
            frozenset(held.by_kind),
        )


def gone_stale(rules: RuleBase, now: Standing) -> frozenset[str]:
    """The observations that a ride with a complaint still there has made old."""

    def is_stale(name: str, answer: Answered) -> bool:
        entry = rules.observations.get(name)
        if entry is None or not entry.again_after:
            return False
        since = {ride.about for ride in now.rides[now.ridden_by[name] :]}
        felt = {one.key for one in since.intersection(now.still_felt) if one is not None}
        return any(
            answer.state in states and not felt.isdisjoint({node, node.partition("/")[0]})
            for node, states in entry.again_after.items()
        )

    return frozenset(name for name, answer in now.answers.items() if is_stale(name, answer))


def _found_after(case: Case, now: Standing) -> dict[str, int]:
    """After how many corrections each observation was made, and each complaint last spoken of."""
    found = {name: len(made) for name, made in now.corrected_by.items()}
    made = 0
    for event in case.events:
        made += isinstance(event, Corrected)
        if isinstance(event, Complained):
            found[event.key] = made
    for ride in now.rides:
        if ride.about is not None:
            found[ride.about.key] = max(found[ride.about.key], len(ride.corrected))
    return found


def _changed_by(rules: RuleBase) -> dict[str, frozenset[str]]:
    """By what a cause shows, the corrections that may change it."""
    changed: dict[str, set[str]] = {}
    for link in rules.links:
        changed.setdefault(link.node, set()).add(rules.causes[link.cause].correction)
    return {node: frozenset(names) for node, names in changed.items()}


def _unjudged(entry: Observation, figure: Figure, reading: Quantity, value: float) -> Unjudged:
    """What a reading would mean by a figure that may not judge it: the nearer to that figure, the
    more it speaks for the normal state; the nearer to the end of what is built, for another."""
    state = state_of_reading(entry, figure.value, value)
    off = figure.way_to_the_edge(reading)
    believed = 1 - off if state == entry.normal else MOST_BELIEVED * off
    return Unjudged(state, believed if figure.says_anything else 0.0)


def _compiled(rules: RuleBase, layers: list[list[str]]) -> tuple[Compiled, RuleSet]:
    compiled = compile_rules(rules, layers)
    try:
        return compiled, RuleSet(compiled.patterns)
    except EngineError as error:
        rule = compiled.rule_of.get(error.rule)
        if rule is None:
            raise
        origin = rules.origins[("rules", rule)]
        field = f"rules.{rule}.when"
        problem = Problem(origin.file, origin.line, 1, "engine", field, str(error))
        raise FileProblems([problem]) from error


def _judged_for(rules: RuleBase) -> dict[str, frozenset[str]]:
    """By finding, the measurements whose judgement the rules behind it look at, rather than the
    bare reading."""
    judged: dict[str, set[str]] = {}
    for rule in rules.rules.values():
        for finding in rule.then.finding or {}:
            names = judged.setdefault(finding, set())
            names |= {leaf.fact for leaf, _ in leaves(rule.when) if leaf.fact is not None}
    return {finding: frozenset(names) for finding, names in judged.items()}


def most_telling(rules: RuleBase, finding: str, states: Iterable[str]) -> str:
    """Of the states that rules conclude, the one that stands; the normal one if there are none."""
    order = list(rules.findings[finding].states)
    return max(states, key=order.index, default=order[0])


def finding_inputs(rules: RuleBase) -> dict[str, tuple[str, ...]]:
    """The observations and findings that the rules behind each finding look at, by finding.

    Findings that no rule concludes are left out.
    """
    inputs: dict[str, dict[str, None]] = {}
    for rule in rules.rules.values():
        for finding in rule.then.finding or {}:
            looked_at = inputs.setdefault(finding, {})
            for leaf, _ in leaves(rule.when):
                for name in leaf.names:
                    if name in rules.observations or name in rules.findings:
                        looked_at[name] = None
    return {finding: tuple(names) for finding, names in inputs.items()}
