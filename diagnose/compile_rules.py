"""Turn a pack's conditions into durable-rules patterns.

A condition becomes an 'or' of 'and's (disjunctive normal form); each 'and' is one engine rule that
joins one pattern per leaf. 'not' means 'not known to hold', so a rule with a `not` also waits for a
gate fact that is told only after everything it looks at is settled.
"""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from diagnose.engine import Pattern
from rules.checks import rule_layers
from rules.quantities import Quantity, Threshold, parse_quantity, parse_threshold
from rules.rulebase import RuleBase
from rules.schema import Condition

GATE = "gate"
STATE = "state"
READING = "reading"
TARGET = "target"
BAND_ABOVE = "band-above"
BAND_BELOW = "band-below"
BAND_NORMAL = "band-normal"

Joined = list[tuple[str, Pattern]]
Literal = tuple[bool, Condition]


@dataclass(frozen=True, slots=True)
class Compiled:
    """Engine rules by name, the pack rule each stands for, and the layer each rule belongs to."""

    patterns: Mapping[str, Joined]
    rule_of: Mapping[str, str]
    layers: Sequence[Sequence[str]]
    hidden_by: Mapping[str, tuple[str, ...]]


def compile_rules(rules: RuleBase) -> Compiled:
    """Compile every rule of the pack, the reading classifier and what applies to which machine."""
    layers = rule_layers(rules.rules)
    patterns: dict[str, Joined] = dict(_CLASSIFIERS)
    rule_of: dict[str, str] = {}
    for number, layer in enumerate(layers):
        for key in layer:
            for index, literals in enumerate(_normal_form(rules.rules[key].when)):
                name = f"{key}#{index}"
                patterns[name] = _join(rules, literals, number)
                rule_of[name] = key
    hidden_by = {}
    for (trait, options), entries in _applicability(rules).items():
        name = f"not-for-{trait}:{'+'.join(options)}"
        patterns[name] = [("trait", _state_pattern(trait, options))]
        hidden_by[name] = tuple(entries)
    return Compiled(patterns, rule_of, layers, hidden_by)


def _of(kind: str, of: str) -> list[Pattern]:
    return [{"kind": kind}, {"of": of}]


def _state_pattern(of: str, states: Sequence[str]) -> Pattern:
    options: list[Pattern] = [{"state": state} for state in states]
    chosen = options[0] if len(options) == 1 else {"$or": options}
    return {"$and": [*_of(STATE, of), chosen]}


def _within(kind: str, low: str, high: str) -> Joined:
    reading = [
        {"kind": READING},
        {"of": {"band": "of"}},
        {low: {"value": {"band": "low"}}},
        {high: {"value": {"band": "high"}}},
    ]
    return [("band", {"kind": kind}), ("reading", {"$and": reading})]


# A reading is classified by joining it with the bands told beside it: one rule per kind of band
# serves every measurement, so the size of a pack does not eat into the engine's limit on rules.
_CLASSIFIERS: dict[str, Joined] = {
    BAND_ABOVE: _within(BAND_ABOVE, "$gt", "$lte"),
    BAND_BELOW: _within(BAND_BELOW, "$gte", "$lt"),
    BAND_NORMAL: _within(BAND_NORMAL, "$gte", "$lte"),
}


def _normal_form(condition: Condition, wanted: bool = True) -> list[list[Literal]]:
    """Alternatives of joined literals; a literal is (must hold, leaf)."""
    if condition.not_ is not None:
        return _normal_form(condition.not_, not wanted)
    parts = condition.all or condition.any
    if parts is None:
        if condition.differs_from is None:
            return [[(wanted, condition)]]
        return _either_side(condition, wanted)
    branches = [_normal_form(part, wanted) for part in parts]
    if (condition.all is not None) == wanted:
        return [list(itertools.chain(*choice)) for choice in itertools.product(*branches)]
    return list(itertools.chain(*branches))


def _either_side(leaf: Condition, wanted: bool) -> list[list[Literal]]:
    """`differs_from` is 'exceeds' one way or the other."""
    first = leaf.model_copy(update={"exceeds": leaf.differs_from, "differs_from": None})
    second = leaf.model_copy(
        update={"reading": leaf.differs_from, "exceeds": leaf.reading, "differs_from": None}
    )
    if wanted:
        return [[(True, first)], [(True, second)]]
    return [[(False, first), (False, second)]]


def _join(rules: RuleBase, literals: Sequence[Literal], layer: int) -> Joined:
    """Positive patterns first: a `$not` may only look back at facts already joined."""
    positive = [leaf for wanted, leaf in literals if wanted]
    negative = [leaf for wanted, leaf in literals if not wanted]
    joined: Joined = []
    for number, leaf in enumerate(positive):
        joined += _leaf(rules, leaf, f"p{number}")
    if negative:
        joined.append((GATE, {"$and": [{"kind": GATE}, {"layer": layer}]}))
    for number, leaf in enumerate(negative):
        parts = _leaf(rules, leaf, f"n{number}")
        *before, (name, pattern) = parts
        joined += before
        joined.append((f"{name}$not", pattern))
    return joined


_COMPARE = {"above": "$gt", "below": "$lt", "at_least": "$gte", "at_most": "$lte"}


def _leaf(rules: RuleBase, leaf: Condition, name: str) -> Joined:
    if leaf.fact is not None:
        return [(name, _state_pattern(leaf.fact, leaf.is_))]
    assert leaf.reading is not None
    unit = rules.observations[leaf.reading].unit
    assert unit is not None
    if leaf.exceeds is not None:
        assert leaf.by is not None
        margin = parse_quantity(leaf.by, unit).to(unit).value
        other = f"{name}b"
        limit = {"$add": {"$l": {other: "value"}, "$r": margin}}
        return [
            (other, {"$and": _of(READING, leaf.exceeds)}),
            (name, {"$and": [*_of(READING, leaf.reading), {"$gt": {"value": limit}}]}),
        ]
    field = next(word for word in _COMPARE if getattr(leaf, word) is not None)
    threshold = parse_threshold(getattr(leaf, field), unit)
    compare = _COMPARE[field]
    if not threshold.uses_target:
        value = threshold.value(None, unit)
        return [(name, {"$and": [*_of(READING, leaf.reading), {compare: {"value": value}}]})]
    target = f"{name}t"
    return [
        (target, {"$and": _of(TARGET, leaf.reading)}),
        (
            name,
            {
                "$and": [
                    *_of(READING, leaf.reading),
                    {compare: {"value": _from_target(threshold, target, unit)}},
                ]
            },
        ),
    ]


def _from_target(threshold: Threshold, name: str, unit: str) -> Pattern:
    # factor and offset never come together, see `parse_threshold`
    if threshold.offset is None:
        return {"$mul": {"$l": {name: "value"}, "$r": threshold.factor}}
    zero = Quantity(0.0, unit)
    return {"$add": {"$l": {name: "value"}, "$r": threshold.value(zero, unit)}}


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
