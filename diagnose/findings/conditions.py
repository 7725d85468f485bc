"""Whether a pack's condition holds for known states and readings.

What the simulated machine shows must agree with what the pack's rules will make of it; this says so
for one condition without a session of the rule engine.
"""

from __future__ import annotations

from collections.abc import Mapping

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
    """`states` by fact, `readings` in the measurement's own unit, `targets` by measurement.

    What is not known does not hold, and `not` means 'not known to hold'.
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
        return apart > parse_quantity(leaf.by, unit).to(unit).value
    for field, sign in _SIGNS.items():
        text = getattr(leaf, field)
        if text is not None:
            limit = parse_threshold(text, unit).value(targets.get(leaf.reading), unit)
            over = sign * (value - limit)
            return over > 0 if field in ("above", "below") else over >= 0
    return False
