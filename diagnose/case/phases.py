"""The phases of riding that a rider picks together with a complaint."""

from __future__ import annotations

from rules.rulebase import RuleBase


def riding_phases(rules: RuleBase) -> tuple[str, ...]:
    """Ids of the yes/no questions about when a complaint shows, in the pack's order."""
    return tuple(key for key, entry in rules.observations.items() if entry.phase)
