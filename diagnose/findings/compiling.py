"""Turn a pack's conditions into durable-rules patterns.

A condition becomes an 'or' of 'and's (disjunctive normal form); each 'and' is one engine rule that
joins one pattern per fact looked at. 'not' means 'not known to hold', so a rule with a `not` also
waits for a gate fact that is told only after everything it looks at is settled.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from diagnose.findings.bands import HALF_STEP
from diagnose.findings.engine import Pattern
from rules.language.conditions import leaves
from rules.language.schema import Condition
from rules.loading.reach import Term, alternatives
from rules.rulebase import RuleBase
from rules.units.quantities import Quantity, Threshold, parse_quantity, parse_threshold

GATE = "gate"
STATE = "state"
READING = "reading"
LIMIT = "limit"
HOLDS = "holds"
BANDS = {"above": "band-above", "below": "band-below", "normal": "band-normal"}
"""The kind of fact by the side of a `StateBand`, and the engine rule that fires for a reading in
such a band."""

Joined = list[tuple[str, Pattern]]
"""What one engine rule waits for: patterns, each with its own name; `$not` ends the name of one
that must not match."""


@dataclass(frozen=True, slots=True)
class RelativeLimit:
    """A limit that moves with the target of a measurement, and its name as a fact."""

    name: str
    threshold: Threshold
    unit: str

    def value(self, target: Quantity | None) -> float:
        """The limit in the measurement's unit. Raises `BadQuantity` without a target."""
        return self.threshold.value(target, self.unit)


@dataclass(frozen=True, slots=True)
class Compiled:
    """Engine rules by name, and what each stands for.

    `patterns`: every engine rule, with the facts that it waits for.
    `rule_of`: the pack's rule behind an engine rule, for those that stand for one.
    `hidden_by`: the causes and observations that a bike cannot have where this one fires.
    `helpers`: those whose firing must be told as a fact, so that others can wait for its absence.
    `limits`: by measurement, the limits to tell beside a reading.
    """

    patterns: Mapping[str, Joined]
    rule_of: Mapping[str, str]
    hidden_by: Mapping[str, tuple[str, ...]]
    helpers: frozenset[str]
    limits: Mapping[str, tuple[RelativeLimit, ...]]


def compile_rules(rules: RuleBase, layers: Sequence[Sequence[str]]) -> Compiled:
    """Compile every rule of the pack, the reading classifier and what applies to which bike.

    `layers` are those of `rules.language.conditions.rule_layers`.
    """
    patterns: dict[str, Joined] = dict(_CLASSIFIERS)
    helpers: dict[str, Joined] = {}
    rule_of: dict[str, str] = {}
    for number, layer in enumerate(layers):
        for key in layer:
            for index, terms in enumerate(_normal_form(rules.rules[key].when)):
                name = f"{key}#{index}"
                patterns[name] = _join(rules, terms, number, helpers)
                rule_of[name] = key
    hidden_by = {}
    for (trait, options), entries in _applicability(rules).items():
        name = f"not-for-{trait}:{'+'.join(options)}"
        patterns[name] = [("trait", _state_pattern(trait, options))]
        hidden_by[name] = tuple(entries)
    patterns.update(helpers)
    return Compiled(patterns, rule_of, hidden_by, frozenset(helpers), _relative_limits(rules))


def _any_state(states: Sequence[str]) -> Pattern:
    options: list[Pattern] = [{"state": state} for state in states]
    return options[0] if len(options) == 1 else {"$or": options}


def _state_pattern(of: str, states: Sequence[str]) -> Pattern:
    return {"$and": [{"kind": STATE}, {"of": of}, _any_state(states)]}


def _within(kind: str, low: str, high: str) -> Joined:
    reading = [
        {"kind": READING},
        {"of": {"band": "of"}},
        {low: {"value": {"band": "low"}}},
        {high: {"value": {"band": "high"}}},
    ]
    return [("band", {"kind": kind}), ("reading", {"$and": reading})]


# A reading is classified by joining it with the bands told beside it: one rule per kind of band
# serves every measurement, so a larger pack does not come closer to the engine's limit on rules.
_CLASSIFIERS: dict[str, Joined] = {
    BANDS["above"]: _within(BANDS["above"], "$gt", "$lte"),
    BANDS["below"]: _within(BANDS["below"], "$gte", "$lt"),
    BANDS["normal"]: _within(BANDS["normal"], "$gte", "$lte"),
}


def _normal_form(condition: Condition) -> Iterator[list[Term]]:
    """The alternatives in which the condition holds, without `differs_from`."""
    for terms in alternatives(condition):
        for choice in itertools.product(*(_either_side(*term) for term in terms)):
            yield list(itertools.chain(*choice))


def _either_side(wanted: bool, leaf: Condition) -> list[list[Term]]:
    """The alternatives of one leaf: `differs_from` is 'exceeds' one way or the other."""
    if leaf.differs_from is None:
        return [[(wanted, leaf)]]
    first = leaf.model_copy(update={"exceeds": leaf.differs_from, "differs_from": None})
    second = leaf.model_copy(
        update={"reading": leaf.differs_from, "exceeds": leaf.reading, "differs_from": None}
    )
    if wanted:
        return [[(True, first)], [(True, second)]]
    return [[(False, first), (False, second)]]


def _join(rules: RuleBase, terms: Sequence[Term], layer: int, helpers: dict[str, Joined]) -> Joined:
    """Patterns for one 'and': one per fact looked at, since a fact matches only one pattern."""
    join = _Join(rules)
    for wanted, leaf in terms:
        if wanted:
            join.require(leaf)
    negative = [leaf for wanted, leaf in terms if not wanted and not join.forbid(leaf)]
    joined = join.patterns()
    if negative:
        joined.append((GATE, {"$and": [{"kind": GATE}, {"layer": float(layer)}]}))
    for number, leaf in enumerate(negative):
        joined.append((f"n{number}$not", _absent(rules, leaf, helpers)))
    return joined


def _absent(rules: RuleBase, leaf: Condition, helpers: dict[str, Joined]) -> Pattern:
    """The pattern that must find nothing. A leaf over several facts gets a helper rule whose
    firing is told as a fact of its own, so that the absence of either fact counts as not known."""
    if leaf.fact is not None:
        return _state_pattern(leaf.fact, leaf.is_)
    join = _Join(rules)
    join.require(leaf)
    patterns = join.patterns()
    if len(patterns) == 1:
        return patterns[0][1]
    name = f"{HOLDS}:{leaf.model_dump_json()}"
    helpers[name] = patterns
    return {"$and": [{"kind": HOLDS}, {"of": name}]}


_COMPARE = {"above": "$gt", "below": "$lt", "at_least": "$gte", "at_most": "$lte"}
_TURNED = {"$gt": "$lt", "$lt": "$gt", "$gte": "$lte", "$lte": "$gte"}
_OPPOSITE = {"$gt": "$lte", "$lte": "$gt", "$lt": "$gte", "$gte": "$lt"}


class _Join:
    """Collects what one 'and' demands of each fact, and writes one pattern per fact.

    A demand on two facts is written on the later one, in terms of the earlier.
    """

    def __init__(self, rules: RuleBase) -> None:
        self._rules = rules
        self._demands: dict[tuple[str, str], list[Pattern]] = {}

    def require(self, leaf: Condition) -> None:
        """Demand that a leaf holds."""
        if leaf.fact is not None:
            self._subject(STATE, leaf.fact).append(_any_state(leaf.is_))
        elif leaf.exceeds is not None:
            self._exceeds(leaf)
        else:
            self._limit(leaf)

    def forbid(self, leaf: Condition) -> bool:
        """Write a `not` into the pattern of a fact that is required anyway, if there is one: the
        engine would not hold one fact against two patterns. False where there is none."""
        if leaf.fact is not None and (STATE, leaf.fact) in self._demands:
            unwanted: list[Pattern] = [{"$neq": {"state": state}} for state in leaf.is_]
            self._demands[(STATE, leaf.fact)] += unwanted
            return True
        if leaf.reading is None or leaf.exceeds is not None:
            return False
        field, text = _limit_of(leaf)
        fixed = not parse_threshold(text, self._unit(leaf.reading)).uses_target
        if fixed and (READING, leaf.reading) in self._demands:
            self._limit(leaf, _OPPOSITE[_COMPARE[field]])
            return True
        return False

    def patterns(self) -> Joined:
        """One named pattern per fact."""
        return [
            (self._name(kind, of), {"$and": [{"kind": kind}, {"of": of}, *demands]})
            for (kind, of), demands in self._demands.items()
        ]

    def _subject(self, kind: str, of: str) -> list[Pattern]:
        return self._demands.setdefault((kind, of), [])

    def _name(self, kind: str, of: str) -> str:
        return f"p{list(self._demands).index((kind, of))}"

    def _unit(self, reading: str) -> str:
        unit = self._rules.observations[reading].unit
        assert unit is not None
        return unit

    def _exceeds(self, leaf: Condition) -> None:
        assert leaf.reading is not None and leaf.exceeds is not None and leaf.by is not None
        unit = self._unit(leaf.reading)
        margin = parse_quantity(leaf.by, unit).to(unit).value + HALF_STEP
        self._relate((READING, leaf.reading), "$gt", (READING, leaf.exceeds), margin)

    def _limit(self, leaf: Condition, compare: str | None = None) -> None:
        assert leaf.reading is not None
        field, text = _limit_of(leaf)
        compare = compare or _COMPARE[field]
        threshold = parse_threshold(text, self._unit(leaf.reading))
        if threshold.uses_target:
            limit = (LIMIT, _limit_name(leaf.reading, text))
            self._relate((READING, leaf.reading), compare, limit, 0.0)
        else:
            value = threshold.value(None, self._unit(leaf.reading))
            self._subject(READING, leaf.reading).append({compare: {"value": value}})

    def _relate(
        self, left: tuple[str, str], compare: str, right: tuple[str, str], margin: float
    ) -> None:
        """Demand `left.value compare right.value + margin`."""
        self._subject(*left)
        self._subject(*right)
        order = list(self._demands)
        if order.index(left) > order.index(right):
            limit = {"$add": {"$l": {self._name(*right): "value"}, "$r": margin}}
            self._demands[left].append({compare: {"value": limit}})
        else:
            limit = {"$sub": {"$l": {self._name(*left): "value"}, "$r": margin}}
            self._demands[right].append({_TURNED[compare]: {"value": limit}})


def _limit_of(leaf: Condition) -> tuple[str, str]:
    """(comparison, limit) of a leaf that holds a reading against a limit."""
    return next((word, getattr(leaf, word)) for word in _COMPARE if getattr(leaf, word) is not None)


def _limit_name(reading: str, limit: str) -> str:
    return f"{reading}: {limit}"


def _relative_limits(rules: RuleBase) -> dict[str, tuple[RelativeLimit, ...]]:
    """By measurement, the target-relative limits that rules hold it against."""
    limits: dict[str, dict[str, RelativeLimit]] = {}
    for rule in rules.rules.values():
        for leaf, _ in leaves(rule.when):
            if leaf.reading is None or leaf.exceeds or leaf.differs_from:
                continue
            unit = rules.observations[leaf.reading].unit
            assert unit is not None
            text = _limit_of(leaf)[1]
            threshold = parse_threshold(text, unit)
            if threshold.uses_target:
                limit = RelativeLimit(_limit_name(leaf.reading, text), threshold, unit)
                limits.setdefault(leaf.reading, {})[text] = limit
    return {reading: tuple(by_text.values()) for reading, by_text in limits.items()}


def _applicability(rules: RuleBase) -> dict[tuple[str, tuple[str, ...]], list[str]]:
    """(trait, options for which they do not apply) -> ids of causes and observations."""
    groups: dict[tuple[str, tuple[str, ...]], list[str]] = {}
    for entries in (rules.causes, rules.observations):
        for key, entry in entries.items():
            for trait, wanted in entry.needs.items():
                others = tuple(o for o in rules.traits[trait].options if o not in wanted)
                if others:
                    groups.setdefault((trait, others), []).append(key)
    return groups
