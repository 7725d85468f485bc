"""Whether a rule's condition can ever hold, and whether one condition follows from another.

A condition is an 'or' of alternatives, each an 'and' of demands. Demands on the same
fact or reading are compared; what cannot be compared is kept as text, so that nothing possible is
called impossible.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from rules.language.schema import Condition
from rules.rulebase import RuleBase, complaint_nodes
from rules.units.quantities import parse_threshold

MOST_ALTERNATIVES = 64

Term = tuple[bool, Condition]
"""Whether a leaf must hold, and the leaf."""
Span = tuple[float, float]
"""Lowest and highest value, both included; an open end is the next floating-point number."""


def count_alternatives(condition: Condition, wanted: bool = True) -> int:
    """How many alternatives a condition comes down to."""
    if condition.not_ is not None:
        return count_alternatives(condition.not_, not wanted)
    parts = condition.all or condition.any
    if parts is None:
        return 2 if condition.differs_from is not None and wanted else 1
    counts = [count_alternatives(part, wanted) for part in parts]
    return math.prod(counts) if (condition.all is not None) == wanted else sum(counts)


def alternatives(condition: Condition, wanted: bool = True) -> list[list[Term]]:
    """The alternatives in which a condition holds or, where not `wanted`, does not."""
    if condition.not_ is not None:
        return alternatives(condition.not_, not wanted)
    parts = condition.all or condition.any
    if parts is None:
        return [[(wanted, condition)]]
    branches = [alternatives(part, wanted) for part in parts]
    if (condition.all is not None) == wanted:
        return [list(itertools.chain(*choice)) for choice in itertools.product(*branches)]
    return list(itertools.chain(*branches))


@dataclass(slots=True)
class Demands:
    """What one alternative asks for.

    `states` are the states a fact may have, `spans` the values a reading may have by (reading,
    whether they are relative to its target), `others` the leaves that cannot be compared, as text,
    and `known` the facts and readings that must be known.
    """

    states: dict[str, frozenset[str]] = field(default_factory=dict)
    spans: dict[tuple[str, bool], Span] = field(default_factory=dict)
    others: set[str] = field(default_factory=set)
    known: set[str] = field(default_factory=set)

    @property
    def possible(self) -> bool:
        """Whether some facts could meet all of it."""
        return all(self.states.values()) and all(low <= high for low, high in self.spans.values())

    def meets(self, other: Demands) -> bool:
        """Whether some facts could meet both."""
        spans = {
            key: (self.spans[key], other.spans[key])
            for key in self.spans.keys() & other.spans.keys()
        }
        denied = {f"not {text}" for text in self.others} | {f"not {text}" for text in other.others}
        return (
            all(
                self.states[key] & other.states[key]
                for key in self.states.keys() & other.states.keys()
            )
            and all(max(a[0], b[0]) <= min(a[1], b[1]) for a, b in spans.values())
            and denied.isdisjoint(self.others | other.others)
        )

    def implies(self, other: Demands) -> bool:
        """Whether whatever meets this meets the other too."""
        return (
            all(key in self.states and self.states[key] <= o for key, o in other.states.items())
            and all(
                key in self.spans and low <= self.spans[key][0] and self.spans[key][1] <= high
                for key, (low, high) in other.spans.items()
            )
            and other.others <= self.others
        )


class Reach:
    """Which states and values the facts of a pack can have."""

    def __init__(self, rules: RuleBase) -> None:
        self._rules = rules
        self._states = dict(_states(rules))

    def states(self, fact: str) -> frozenset[str]:
        """The states that a fact can be found in."""
        return self._states[fact]

    def demands(self, condition: Condition) -> list[Demands]:
        """The demands of each alternative of a condition; a loaded one has few enough."""
        return [self._demands(terms) for terms in alternatives(condition)]

    def _demands(self, terms: Sequence[Term]) -> Demands:
        found = Demands()
        for wanted, leaf in terms:
            if wanted:
                self._require(found, leaf)
        for wanted, leaf in terms:
            if not wanted:
                self._forbid(found, leaf)
        self._fit_bike(found)
        return found

    def _require(self, found: Demands, leaf: Condition) -> None:
        found.known.update(leaf.names)
        if leaf.fact is not None:
            possible = found.states.get(leaf.fact, self._states[leaf.fact])
            found.states[leaf.fact] = possible & frozenset(leaf.is_)
            return
        span = self._span(leaf)
        if span is None:
            found.others.add(leaf.model_dump_json(by_alias=True, exclude_none=True))
            return
        key, (low, high) = span
        before = found.spans.get(key) or self._limits(key)
        found.spans[key] = (max(low, before[0]), min(high, before[1]))

    def _forbid(self, found: Demands, leaf: Condition) -> None:
        """'Not known to hold' is met by not knowing, unless the fact is known by another demand."""
        if leaf.fact is not None and leaf.fact in found.states:
            found.states[leaf.fact] -= frozenset(leaf.is_)
            return
        found.others.add("not " + leaf.model_dump_json(by_alias=True, exclude_none=True))
        span = self._span(leaf)
        if span is None or span[0] not in found.spans:
            return
        (key, (low, high)), (least, most) = span, found.spans[span[0]]
        if math.isinf(low):
            found.spans[key] = (max(least, math.nextafter(high, math.inf)), most)
        else:
            found.spans[key] = (least, min(most, math.nextafter(low, -math.inf)))

    def _span(self, leaf: Condition) -> tuple[tuple[str, bool], Span] | None:
        """((reading, relative to the target), span) of a leaf that holds a reading to a limit."""
        for word in ("above", "at_least", "below", "at_most"):
            text = getattr(leaf, word)
            if text is None or leaf.reading is None:
                continue
            unit = self._rules.observations[leaf.reading].unit or ""
            limit = parse_threshold(text, unit)
            if limit.uses_target and limit.factor != 1.0:
                return None
            value = limit.offset.to(unit).value if limit.offset is not None else 0.0
            spans = {
                "above": (math.nextafter(value, math.inf), math.inf),
                "at_least": (value, math.inf),
                "below": (-math.inf, math.nextafter(value, -math.inf)),
                "at_most": (-math.inf, value),
            }
            span = spans[word]
            return (leaf.reading, limit.uses_target), span
        return None

    def _limits(self, key: tuple[str, bool]) -> Span:
        reading, relative = key
        entry = self._rules.observations[reading]
        if relative or entry.limits is None:
            return (-math.inf, math.inf)
        unit = entry.unit or ""
        low, high = (parse_threshold(text, unit).value(None, unit) for text in entry.limits)
        return (low, high)

    def _fit_bike(self, found: Demands) -> None:
        """Demand a bike that can have everything that must be known."""
        for name in found.known:
            entry = self._rules.observations.get(name)
            for trait, options in entry.needs.items() if entry is not None else ():
                possible = found.states.get(trait, self._states[trait])
                found.states[trait] = possible & frozenset(options)


def _states(rules: RuleBase) -> Iterator[tuple[str, frozenset[str]]]:
    """(id, states it can have) of every fact."""
    for key, trait in rules.traits.items():
        yield key, frozenset(trait.options)
    for key, complaint in rules.complaints.items():
        for node in complaint_nodes(key, complaint):
            yield node, frozenset({"yes"})
    for key, entry in rules.observations.items():
        if entry.kind == "measurement":
            yield key, frozenset({entry.normal, *(band.state for band in entry.bands)})
        else:
            yield key, frozenset(entry.states)
    for key, finding in rules.findings.items():
        found = {next(iter(finding.states))}
        if finding.computed is not None:
            found |= {band.state for band in finding.computed.bands}
        for rule in rules.rules.values():
            state = (rule.then.finding or {}).get(key)
            found |= {state} if state is not None else set()
        yield key, frozenset(found)
