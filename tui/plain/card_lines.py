"""A card of a case as plain lines: the job card, or the list that a rider takes to a workshop."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.advice.assessor import Assessment, Assessor
from diagnose.cards.blocks import Audience
from diagnose.cards.card_facts import CardFacts
from diagnose.cards.content import card_for
from diagnose.cards.plain import plain_lines
from diagnose.records.cases.case_book import KeptCase
from tui.terminal.clock import today
from tui.terminal.text import wrapped


def card_lines(
    assessor: Assessor, kept: KeptCase, assessment: Assessment, audience: Audience | None
) -> Iterator[str]:
    """The whole card for these, or the one that comes first now, wrapped. Raises what
    `Assessor.assess` raises."""
    facts = CardFacts(assessor.rules, kept, assessment, None, today())
    for line in plain_lines(card_for(audience, facts, assessor)):
        yield from wrapped(line, "  ", "") if line else ("",)
