"""What can be given at a row of the sheet, and how it is asked for in one cell."""

from __future__ import annotations

from diagnose.advice.sheet import SheetRow
from diagnose.case.events import Case
from diagnose.words.answers import unit_of_bare
from rules.rulebase import RuleBase
from tui.plain.offers import Offer, observation_offers, work_offers


def row_offers(rules: RuleBase, row: SheetRow) -> tuple[Offer, ...]:
    """The answers of a row, each with its key. A reading is typed, not offered."""
    if not row.is_work:
        return observation_offers(rules, row.about)
    return work_offers(row.about)


def is_typed(rules: RuleBase, row: SheetRow) -> bool:
    """Whether a row takes a reading."""
    return not row.is_work and rules.observations[row.about].kind == "measurement"


def blank(rules: RuleBase, case: Case, row: SheetRow) -> str:
    """What stands where nothing was given yet: `____ mm`, the keys of the answers `y n ?`, or that
    it is to be put right."""
    if row.is_work:
        return "put right"
    if is_typed(rules, row):
        return f"____ {unit_of_bare(rules, case, row.about)}"
    return " ".join(offer.key for offer in row_offers(rules, row) if offer.key != "x")
