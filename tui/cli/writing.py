"""Where commands write what they make: to a file that is named, or to standard output."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from tui.cli.common import or_exit
from tui.cli.person_path import PersonPath
from tui.cli.storing import with_options
from tui.terminal.clock import now

if TYPE_CHECKING:
    from diagnose.cards.blocks import Card
    from diagnose.cards.rendering import Kind

output_option = click.option("-o", "--output", type=PersonPath(), help="The file to write.")
file_argument = click.argument("file", type=PersonPath(allow_dash=True), default="-")
card_options = with_options(
    click.option(
        "--format",
        "kind",
        type=click.Choice(["markdown", "html", "pdf"]),
        help="Else as the ending of the file says; Markdown on standard output.",
    ),
    output_option,
)


def write_or_print(text: str, output: Path | None) -> None:
    """Write text to `output` and say so; without one, print it. Exits where it cannot be written.

    The file `-` is standard output too.
    """
    from diagnose.records.file_writing import write_text

    if output is None or str(output) == "-":
        click.echo(text, nl=False)
        return
    or_exit(lambda: write_text(output, text))
    click.echo(f"{output} is written.")


def chosen_kind(kind: Kind | None, output: Path | None) -> Kind:
    """The format asked for, else that of the file's ending. Exits where the ending is unknown."""
    from diagnose.cards.rendering import kind_of

    if kind is not None:
        return kind
    return "markdown" if output is None else or_exit(lambda: kind_of(output))


def write_card(card: Card, kind: Kind, output: Path | None) -> None:
    """Write a card to `output` and say so; without one, to standard output. Exits where it
    cannot be written."""
    from diagnose.cards.rendering import card_bytes
    from diagnose.records.file_writing import write_bytes

    content = or_exit(lambda: card_bytes(card, kind, now()))
    if output is None:
        sys.stdout.buffer.write(content)
        sys.stdout.buffer.flush()
        return
    or_exit(lambda: write_bytes(output, content))
    click.echo(f"{output} is written.")
