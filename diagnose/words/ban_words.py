"""Why the bike must not be ridden, in words."""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.case.events import Case
from diagnose.findings.concluding import Raised
from diagnose.inference.bans import Ban
from diagnose.inference.found_faults import FoundFault
from diagnose.words.evidence_words import evidence_text
from diagnose.words.titles import lowered
from rules.rulebase import RuleBase


def ban_text(rules: RuleBase, case: Case, ban: Ban) -> str:
    """One reason, without any figure that moves with every answer."""
    match ban:
        case Raised(text=text):
            return text
        case FoundFault(cause=cause):
            found = evidence_text(rules, ban.shown_by, case)
            return f"{rules.causes[cause].title}. Found: {found}. It is put right before any ride."
        case _:
            named = " or ".join(lowered(rules.causes[cause].title) for cause in ban.causes)
            return (
                f"Riding is likely to be dangerous; most of all: {named}. "
                "It is looked for, and put right, before any ride."
            )


def ban_texts(rules: RuleBase, case: Case, bans: Sequence[Ban]) -> tuple[str, ...]:
    """Every reason."""
    return tuple(ban_text(rules, case, ban) for ban in bans)
