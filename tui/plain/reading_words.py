"""What a reading may be written as, in words: for the box on the screen and the line interview."""

from __future__ import annotations

from diagnose.case.events import Case
from rules.rulebase import RuleBase
from rules.units.quantities import units_like


def unit_of_bare(rules: RuleBase, case: Case, observation: str) -> str:
    """The unit of a number alone: that of the machine's own target, which stands beside the
    question, or else the pack's."""
    entry = rules.observations[observation]
    assert entry.unit is not None
    given = case.targets.get(entry.target or "")
    return given.unit if given is not None and given.unit in units_like(entry.unit) else entry.unit


def accepted(unit: str) -> str:
    """What may be written where a number alone is in `unit`."""
    own, others = units_like(unit)[:1], units_like(unit)[1:]
    if not own:
        return "plain number"
    return f"figure in {own[0]}" + (f", or with its unit: {', '.join(others)}" if others else "")
