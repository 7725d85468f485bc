"""`card`: the job card of a case."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from tui.cli.common import Packs, load_rules, or_exit, pack_option
from tui.cli.storing import learned_from, open_or_exit, store_option
from tui.terminal.clock import now, today

if TYPE_CHECKING:
    from diagnose.cards.blocks import Audience
    from diagnose.cards.card_facts import CardFacts
    from diagnose.cards.rendering import Kind
    from rules.rulebase import RuleBase


@click.command()
@click.argument("number", type=int)
@click.option(
    "--for",
    "audience",
    type=click.Choice(["workshop", "customer"]),
    default="workshop",
    show_default=True,
    help="With evidence and sources, or in plain words.",
)
@click.option(
    "--format",
    "kind",
    type=click.Choice(["markdown", "html", "pdf"]),
    help="Else as the ending of the file says; Markdown on standard output.",
)
@click.option("-o", "--output", type=click.Path(path_type=Path), help="The file to write.")
@store_option
@pack_option
def card(
    number: int,
    audience: Audience,
    kind: Kind | None,
    output: Path | None,
    store: str | None,
    pack: Packs,
) -> None:
    """Write the job card of case NUMBER: cause, correction, readings, cautions, ride test."""
    from diagnose.cards.content import card_for
    from diagnose.cards.rendering import card_bytes, kind_of
    from diagnose.records.file_writing import write_bytes

    chosen: Kind = "markdown"
    if kind is not None:
        chosen = kind
    elif output is not None:
        chosen = or_exit(lambda: kind_of(output))
    made = card_for(audience, _facts(number, load_rules(pack), store))
    content = or_exit(lambda: card_bytes(made, chosen, now()))
    if output is None:
        sys.stdout.buffer.write(content)
        sys.stdout.buffer.flush()
        return
    or_exit(lambda: write_bytes(output, content))
    click.echo(f"{output} is written.")


def _facts(number: int, rules: RuleBase, where: str | None) -> CardFacts:
    from diagnose.advice.assessor import Assessor
    from diagnose.cards.card_facts import CardFacts
    from diagnose.records.bikes.bike_book import BikeBook
    from diagnose.records.cases.case_book import CaseBook
    from diagnose.records.cases.fitting import fitted

    store = open_or_exit(where)
    taught = learned_from(store, rules).rules
    kept = or_exit(lambda: CaseBook(store, rules).read(number))
    name = kept.bike
    bike = None if name is None else or_exit(lambda: BikeBook(store).read(name))
    assessment = or_exit(lambda: Assessor(taught).assess(fitted(rules, kept.case)))
    return CardFacts(rules, kept, assessment, bike, today())
