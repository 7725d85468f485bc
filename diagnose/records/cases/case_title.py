"""The title of a case, for lists and screens."""

from __future__ import annotations

from diagnose.case.events import Case, Complained, standing
from rules.rulebase import RuleBase


def case_title(rules: RuleBase, case: Case) -> str:
    """The complaints in words, or that there are none yet; an unknown complaint by its id."""
    titles = [complaint_title(rules, item) for item in standing(case).complaints]
    return ", ".join(titles) or "no complaint yet"


def complaint_title(rules: RuleBase, item: Complained) -> str:
    """One complaint with its place in words; an unknown one by its id."""
    entry = rules.complaints.get(item.complaint)
    title = entry.title if entry is not None else item.complaint
    return title + (f" ({item.place})" if item.place else "")
