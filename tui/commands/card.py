"""`card`: the job card of a case."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from tui.commands.common import load_rules, or_exit, pack_option
from tui.commands.storing import learned_from, now, open_or_exit, store_option, today

if TYPE_CHECKING:
    from diagnose.reporting.facts import CardFacts
    from rules.rulebase import RuleBase

_ENDINGS = {".md": "markdown", ".html": "html", ".htm": "html", ".pdf": "pdf"}


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
    audience: str,
    kind: str | None,
    output: Path | None,
    store: str | None,
    pack: Path | None,
) -> None:
    """Write the job card of case NUMBER: cause, correction, readings, cautions, ride test."""
    from diagnose.records.files import write_bytes
    from diagnose.reporting.content import customer_card, workshop_card

    chosen = kind or or_exit(lambda: _by_ending(output))
    facts = _facts(number, load_rules(pack), store)
    made = workshop_card(facts) if audience == "workshop" else customer_card(facts)
    if chosen == "pdf":
        from diagnose.reporting.pdf import pdf_card

        content = pdf_card(made, now())
    else:
        from diagnose.reporting.written import html_card, markdown_card

        text = markdown_card(made) if chosen == "markdown" else html_card(made)
        content = text.encode("utf-8")
    if output is None:
        sys.stdout.buffer.write(content)
        sys.stdout.buffer.flush()
        return
    or_exit(lambda: write_bytes(output, content))
    click.echo(f"{output} is written.")


def _by_ending(output: Path | None) -> str:
    from rules.problems import BadInput

    if output is None:
        return "markdown"
    kind = _ENDINGS.get(output.suffix.lower())
    if kind is None:
        raise BadInput(f"{output}: end the name in .md, .html or .pdf, or give --format")
    return kind


def _facts(number: int, rules: RuleBase, where: str | None) -> CardFacts:
    from diagnose.interview import Workshop
    from diagnose.records.bike_book import BikeBook
    from diagnose.records.case_book import CaseBook
    from diagnose.records.fitting import fitted
    from diagnose.reporting.facts import CardFacts

    store = open_or_exit(where)
    taught = learned_from(store, rules).rules
    kept = or_exit(lambda: CaseBook(store, rules).read(number))
    name = kept.bike
    bike = None if name is None else or_exit(lambda: BikeBook(store).read(name))
    assessment = or_exit(lambda: Workshop(taught).assess(fitted(rules, kept.case)))
    return CardFacts(rules, kept, assessment, bike, today())
