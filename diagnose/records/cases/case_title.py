"""The title of a case, for lists and screens."""

from __future__ import annotations

from diagnose.case.events import Case, standing
from rules.rulebase import RuleBase


def case_title(rules: RuleBase, case: Case) -> str:
    """The complaints in words, or that there are none yet; an unknown complaint by its id."""
    parts = []
    for item in standing(case).complaints:
        entry = rules.complaints.get(item.complaint)
        title = entry.title if entry is not None else item.complaint
        parts.append(title + (f" ({item.place})" if item.place else ""))
    return ", ".join(parts) or "no complaint yet"
