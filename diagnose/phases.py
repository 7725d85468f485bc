"""The questions about when it shows: the phases of riding a rider picks together with a complaint."""

from __future__ import annotations

from rules.rulebase import RuleBase

# A pack names such questions `shows-...`; one that has none is simply not asked about phases.
_PREFIX = "shows-"


def riding_phases(rules: RuleBase) -> tuple[str, ...]:
    """Ids of the yes/no questions about when a complaint shows, in the pack's order."""
    return tuple(
        key
        for key, entry in rules.observations.items()
        if key.startswith(_PREFIX) and entry.kind == "question" and set(entry.states) == {"no", "yes"}
    )
