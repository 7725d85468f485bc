"""The list that a rider takes to a workshop, as plain lines."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.advice.assessor import Assessment, Assessor
from diagnose.cards.card_facts import CardFacts
from diagnose.cards.content import card_for
from diagnose.cards.plain import plain_lines
from diagnose.records.cases.case_book import KeptCase
from tui.terminal.clock import today
from tui.terminal.text import wrapped


def take_along_lines(assessor: Assessor, kept: KeptCase, assessment: Assessment) -> Iterator[str]:
    """The whole list, wrapped. Raises what `Assessor.assess` raises."""
    facts = CardFacts(assessor.rules, kept, assessment, None, today())
    for line in plain_lines(card_for("take-along", facts, assessor)):
        yield from wrapped(line, "  ", "") if line else ("",)
