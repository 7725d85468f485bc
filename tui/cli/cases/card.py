"""`card`: the job card of a case."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from tui.cli.cases.case_common import assess_kept, bike_of, read_case
from tui.cli.common import Packs
from tui.cli.storing import store_and_packs
from tui.cli.writing import card_options, chosen_kind, write_card
from tui.terminal.clock import today

if TYPE_CHECKING:
    from diagnose.cards.blocks import Audience
    from diagnose.cards.rendering import Kind


@click.command()
@click.argument("number", type=int)
@click.option(
    "--for",
    "audience",
    type=click.Choice(["workshop", "customer", "take-along"]),
    help="With evidence and sources; in plain words; or what a rider takes to a workshop, which it "
    "is by itself where that comes next.",
)
@card_options
@store_and_packs
def card(
    number: int,
    audience: Audience | None,
    kind: Kind | None,
    output: Path | None,
    store: str | None,
    pack: Packs,
) -> None:
    """Write the job card of case NUMBER: cause, correction, readings, cautions, ride test."""
    from diagnose.cards.card_facts import CardFacts
    from diagnose.cards.content import card_for

    chosen = chosen_kind(kind, output)
    rules, book, kept = read_case(number, store, pack)
    bike = bike_of(book, kept)
    assessor, assessment = assess_kept(book, kept)
    facts = CardFacts(rules, kept, assessment, bike, today())
    write_card(card_for(audience, facts, assessor), chosen, output)
