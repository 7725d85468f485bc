"""The pack's rules in plain Python: whether a condition holds, and which rules hold in a case.

The simulator uses this, since what a simulated bike shows must agree with the pack's rules. It
evaluates the conditions as the pack has them, so the rule engine is also checked against it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from diagnose.findings.bands import HALF_STEP, StateBand
from rules.language.schema import Condition
from rules.rulebase import RuleBase
from rules.units.quantities import Quantity, parse_quantity, parse_threshold

_SIGNS = {"above": 1, "at_least": 1, "below": -1, "at_most": -1}


def holds(
    rules: RuleBase,
    condition: Condition,
    states: Mapping[str, str],
    readings: Mapping[str, float],
    targets: Mapping[str, Quantity],
) -> bool:
    """Whether a condition holds, given `states` by fact, `readings` by measurement in its own unit,
    and `targets` by measurement.

    What is not known does not hold, and `not` means 'not known to hold'. So it is with a reading
    held against a target that is not given.
    """

    def inner(part: Condition) -> bool:
        return holds(rules, part, states, readings, targets)

    if condition.all is not None:
        return all(inner(part) for part in condition.all)
    if condition.any is not None:
        return any(inner(part) for part in condition.any)
    if condition.not_ is not None:
        return not inner(condition.not_)
    if condition.fact is not None:
        return states.get(condition.fact) in condition.is_
    return _compares(rules, condition, readings, targets)


def _compares(
    rules: RuleBase,
    leaf: Condition,
    readings: Mapping[str, float],
    targets: Mapping[str, Quantity],
) -> bool:
    assert leaf.reading is not None
    value = readings.get(leaf.reading)
    unit = rules.observations[leaf.reading].unit
    assert unit is not None
    if value is None:
        return False
    other = leaf.exceeds or leaf.differs_from
    if other is not None:
        if other not in readings:
            return False
        assert leaf.by is not None
        apart = value - readings[other]
        if leaf.differs_from is not None:
            apart = abs(apart)
        return apart > parse_quantity(leaf.by, unit).to(unit).value + HALF_STEP
    for field, sign in _SIGNS.items():
        text = getattr(leaf, field)
        if text is not None:
            threshold, target = parse_threshold(text, unit), targets.get(leaf.reading)
            if threshold.uses_target and target is None:
                return False
            limit = threshold.value(target, unit)
            over = sign * (value - limit)
            return over > 0 if field in ("above", "below") else over >= 0
    return False


class PlainReasoner:
    """One case worked through without the rule engine.

    See `Reasoner` in `diagnose.findings.reasoning` for what its members mean.
    """

    def __init__(self, rules: RuleBase, layers: Sequence[Sequence[str]]) -> None:
        self.states: dict[str, str] = {}
        self.hidden: set[str] = set()
        self.fired: dict[str, None] = {}
        self._rules = rules
        self._layers = layers
        self._has_worked = False
        self._readings: dict[str, float] = {}
        self._targets: dict[str, Quantity] = {}

    def tell_state(self, name: str, state: str) -> None:
        """Note the state of a fact."""
        self.states[name] = state

    def tell_reading(
        self, name: str, value: float, bands: Sequence[StateBand], target: Quantity | None
    ) -> None:
        """Note a reading and the state of the band it lies in."""
        self._readings[name] = value
        if target is not None:
            self._targets[name] = target
        for band in bands:
            if band.holds(value):
                self.states[name] = band.state

    def work(self) -> None:
        """Note what a bike with the traits told cannot have; traits come before the first time."""
        if self._has_worked:
            return
        self._has_worked = True
        for entries in (self._rules.causes, self._rules.observations):
            for key, entry in entries.items():
                if entry.needs and any(
                    self.states[trait] not in options for trait, options in entry.needs.items()
                ):
                    self.hidden.add(key)

    def work_layer(self, number: int) -> None:
        """Note which rules of this layer hold."""
        for key in self._layers[number]:
            when = self._rules.rules[key].when
            if holds(self._rules, when, self.states, self._readings, self._targets):
                self.fired[key] = None

    def close(self) -> None:
        """Do nothing: there is no session to end."""
