"""What is said of a fact that was volunteered: heard, perhaps meant, or not understood."""

from __future__ import annotations

from diagnose.case.events import Complained
from diagnose.listening.volunteered import FactsNear
from diagnose.records.cases.case_title import complaint_title
from rules.rulebase import RuleBase

ALL_HEARD = "All that was heard"
NOT_UNDERSTOOD = "Not understood; try other words."
CHOOSE = "Nothing is taken yet: choose a row, or type other words."


def meant_heading(near: FactsNear) -> str:
    """What stands above the questions that may be meant."""
    return "Or did you mean:" if near.heard else "Nothing heard for sure; did you mean:"


def another_complaint(rules: RuleBase, complaint: Complained) -> str:
    """`Heard as another complaint: Harsh (front). Add it?`"""
    return f"Heard as another complaint: {complaint_title(rules, complaint)}. Add it?"
