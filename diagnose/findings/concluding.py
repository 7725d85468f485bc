"""From facts to findings: what the engine concludes about a case."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from diagnose.case.events import Answered, Case, Standing, machine_traits, standing, target_of
from diagnose.findings.compiling import (
    BAND_ABOVE,
    BAND_BELOW,
    BAND_NORMAL,
    GATE,
    HOLDS,
    LIMIT,
    READING,
    STATE,
    compile_rules,
    limit_name,
)
from diagnose.findings.computed import COMPUTATIONS, Reading, check_computed
from diagnose.findings.engine import EngineError, Fact, RuleSet, Session
from rules.language.conditions import leaves
from rules.language.schema import Band, Observation
from rules.problems import FileProblems, Problem
from rules.rulebase import RuleBase
from rules.units.quantities import Quantity, parse_threshold

_FAR = 1e12  # durable-rules has no infinity


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
class Findings:
    """What is known: states of observations, complaints and findings, and what rules raised."""

    states: Mapping[str, str]
    rules_behind: Mapping[str, tuple[str, ...]]
    contradictions: tuple[Contradiction, ...]
    cautions: tuple[Raised, ...]
    do_not_ride: tuple[Raised, ...]
    not_applicable: frozenset[str]
    computed: Mapping[str, Quantity] = field(default_factory=dict)


@dataclass(slots=True)
class _Run:
    """What one pass through the engine has gathered so far."""

    session: Session
    known: frozenset[str]
    states: dict[str, str] = field(default_factory=dict)
    concluded: dict[str, dict[str, list[str]]] = field(default_factory=dict)
    fired: set[str] = field(default_factory=set)
    hidden: set[str] = field(default_factory=set)
    computed: dict[str, Quantity] = field(default_factory=dict)


class FindingsEngine:
    """A pack's rules, compiled once; `conclude` may be called for any number of cases.

    Raises `FileProblems` or `EngineError` for rules beyond what the engine can hold.
    """

    def __init__(self, rules: RuleBase) -> None:
        self._rules = rules
        check_computed(rules)
        self._compiled = compile_rules(rules)
        try:
            self._ruleset = RuleSet(self._compiled.patterns)
        except EngineError as error:
            raise self._placed(error) from error
        self._settled_at = self._finding_layers()
        self.inputs = finding_inputs(rules)

    def _placed(self, error: EngineError) -> Exception:
        """The error as a problem of the rule to blame, where one is."""
        rule = self._compiled.rule_of.get(error.rule)
        if rule is None:
            return error
        origin = self._rules.origins[("rules", rule)]
        field = f"rules.{rule}.when"
        return FileProblems([Problem(origin.file, origin.line, 1, "engine", field, str(error))])

    def _finding_layers(self) -> dict[int, list[str]]:
        """Layer -> findings whose last rule stands in it."""
        last: dict[str, int] = {}
        for number, layer in enumerate(self._compiled.layers):
            for key in layer:
                for finding in self._rules.rules[key].then.finding or {}:
                    last[finding] = max(last.get(finding, 0), number)
        settled: dict[int, list[str]] = {}
        for finding, number in last.items():
            settled.setdefault(number, []).append(finding)
        return settled

    def conclude(self, case: Case, now: Standing | None = None) -> Findings:
        """Run the case's facts through the rules in a fresh session.

        Nothing is retracted: an answer taken back is simply not told. What forbade riding goes on
        forbidding it while nobody knows better. Raises `EngineError`.
        """
        now = now or standing(case)
        found = self._findings(self._run(case, now))
        if not now.known_before:
            return found
        as_known = replace(now, answers={**now.answers, **now.known_before})
        before = self._findings(self._run(case, as_known)).do_not_ride
        held = [raised for raised in before if raised not in found.do_not_ride]
        return replace(found, do_not_ride=(*found.do_not_ride, *held))

    def _run(self, case: Case, now: Standing) -> _Run:
        known = frozenset(name for name, answer in now.answers.items() if answer.is_known)
        with self._ruleset.session() as session:
            run = _Run(session, known)
            for fact in self._facts(case, now):
                session.tell(fact)
                if fact["kind"] == STATE:
                    run.states[str(fact["of"])] = str(fact["state"])
            self._collect(run)
            self._compute(run, case, now)
            for number in range(len(self._compiled.layers)):
                session.tell({"kind": GATE, "layer": float(number)})
                self._collect(run)
                for finding in self._settled_at.get(number, ()):
                    self._settle(run, finding)
                self._collect(run)
        return run

    def _facts(self, case: Case, now: Standing) -> Iterator[Fact]:
        for trait, option in machine_traits(self._rules, case).items():
            yield {"kind": STATE, "of": trait, "state": option}
        for complained in now.complaints:
            yield {"kind": STATE, "of": complained.key, "state": "yes"}
        for name, answer in now.answers.items():
            if answer.state is not None:
                yield {"kind": STATE, "of": name, "state": answer.state}
            elif answer.reading is not None:
                yield from self._reading_facts(case, name, answer)

    def _reading_facts(self, case: Case, name: str, answer: Answered) -> Iterator[Fact]:
        entry = self._rules.observations[name]
        assert answer.reading is not None and entry.unit is not None
        target = target_of(self._rules, case, entry.target)[0] if entry.target else None
        yield from _band_facts(name, reading_bands(entry, target))
        for text in self._compiled.limits.get(name, ()):
            limit = parse_threshold(text, entry.unit).value(target, entry.unit)
            yield {"kind": LIMIT, "of": limit_name(name, text), "value": limit}
        value = round(answer.reading.to(entry.unit).value, 9)
        yield {"kind": READING, "of": name, "value": float(value)}

    def _compute(self, run: _Run, case: Case, now: Standing) -> None:
        """Tell the computed findings, as numbers for the engine to classify like any reading."""
        for name, finding in self._rules.findings.items():
            asked = finding.computed
            if asked is None:
                continue
            readings, off = {}, 0
            for role, observation in asked.inputs.items():
                answer = now.answers.get(observation)
                if answer is None or answer.reading is None or observation in run.hidden:
                    continue
                entry = self._rules.observations[observation]
                target = target_of(self._rules, case, entry.target)[0] if entry.target else None
                readings[role] = Reading(answer.reading, target)
                off += run.states.get(observation, entry.normal) != entry.normal
            if off < asked.off_inputs:
                continue
            computation = COMPUTATIONS[asked.by]
            number = computation.compute(readings)
            if number is None:
                continue
            run.computed[name] = Quantity(round(number, 1), computation.unit).to(asked.unit)
            # A number in no band divides nothing, and is no evidence either way.
            normal = next(iter(finding.states))
            for fact in _band_facts(name, bands_of(asked.bands, asked.unit, normal, None)):
                if fact["kind"] != BAND_NORMAL:
                    run.session.tell(fact)
            run.session.tell({"kind": READING, "of": name, "value": run.computed[name].value})
        self._collect(run)

    def sources_of(self, finding: str) -> tuple[str, ...]:
        """The observations and findings a finding is drawn from, by rules or by computation.

        `inputs` holds the former alone: nobody is sent to measure for a computed finding's sake.
        """
        asked = self._rules.findings[finding].computed
        return tuple(asked.inputs.values()) if asked else self.inputs[finding]

    def _collect(self, run: _Run) -> None:
        """Sort what fired; classified readings go straight back as states."""
        while fired := run.session.take_fired():
            for item in fired:
                if item.rule in (BAND_ABOVE, BAND_BELOW, BAND_NORMAL):
                    band = item.facts[0]
                    run.states[str(band["of"])] = str(band["state"])
                    run.session.tell({"kind": STATE, "of": band["of"], "state": band["state"]})
                elif item.rule.startswith(f"{HOLDS}:"):
                    run.session.tell({"kind": HOLDS, "of": item.rule})
                elif item.rule in self._compiled.hidden_by:
                    run.hidden.update(self._compiled.hidden_by[item.rule])
                else:
                    key = self._compiled.rule_of[item.rule]
                    run.fired.add(key)
                    for finding, state in (self._rules.rules[key].then.finding or {}).items():
                        behind = run.concluded.setdefault(finding, {}).setdefault(state, [])
                        if key not in behind:
                            behind.append(key)

    def _settle(self, run: _Run, finding: str) -> None:
        """Where rules conclude several states of a finding, the most telling stands.

        Where none does although everything its rules look at is known, the normal state stands.
        """
        order = list(self._rules.findings[finding].states)
        if finding in run.concluded:
            state = max(run.concluded[finding], key=order.index)
        elif all(name in run.states or name in run.known for name in self.inputs[finding]):
            state = order[0]
        else:
            return
        run.states[finding] = state
        run.session.tell({"kind": STATE, "of": finding, "state": state})

    def _findings(self, run: _Run) -> Findings:
        contradictions, cautions, do_not_ride = [], [], []
        for key in sorted(run.fired):
            then = self._rules.rules[key].then
            if then.contradiction is not None:
                contradictions.append(Contradiction(key, then.contradiction, then.check))
            if then.caution is not None:
                cautions.append(Raised(then.caution, key))
            if then.do_not_ride is not None:
                do_not_ride.append(Raised(then.do_not_ride, key))
        behind = {
            finding: tuple(options[run.states[finding]])
            for finding, options in run.concluded.items()
        }
        return Findings(
            run.states,
            behind,
            tuple(contradictions),
            tuple(cautions),
            tuple(do_not_ride),
            frozenset(run.hidden),
            run.computed,
        )


def finding_inputs(rules: RuleBase) -> dict[str, tuple[str, ...]]:
    """The observations and findings that the rules behind each finding look at."""
    inputs: dict[str, dict[str, None]] = {}
    for rule in rules.rules.values():
        for finding in rule.then.finding or {}:
            for leaf, _ in leaves(rule.when):
                for name in leaf.names:
                    if name in rules.observations or name in rules.findings:
                        inputs.setdefault(finding, {})[name] = None
    return {finding: tuple(names) for finding, names in inputs.items()}


def reading_bands(
    entry: Observation, target: Quantity | None
) -> Iterator[tuple[str, str, float, float]]:
    """The bands of a measurement; see `bands_of`."""
    assert entry.unit is not None
    return bands_of(entry.bands, entry.unit, entry.normal, target)


def bands_of(
    bands: Sequence[Band], unit: str, normal: str, target: Quantity | None
) -> Iterator[tuple[str, str, float, float]]:
    """(kind, state, low, high) in `unit`; together they cover every reading once.

    Bands above the target take `low < reading <= high`, those below `low <= reading < high`, and
    the normal band, limits included, what lies between.
    """
    top, bottom = _FAR, -_FAR
    for band in bands:
        limit = parse_threshold(band.above or band.below or "", unit)
        value = limit.value(target, unit)
        if band.above is not None:
            yield BAND_ABOVE, band.state, value, max(value, top)
            top = min(top, value)
        else:
            yield BAND_BELOW, band.state, min(value, bottom), value
            bottom = max(bottom, value)
    if bands and bottom <= top:
        yield BAND_NORMAL, normal, bottom, top


def _band_facts(of: str, bands: Iterable[tuple[str, str, float, float]]) -> Iterator[Fact]:
    """The bands beside which a reading of `of` is classified."""
    for kind, state, low, high in bands:
        yield {"kind": kind, "of": of, "state": state, "low": low, "high": high}
