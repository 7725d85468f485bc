"""`listen`: from a rider's own words to complaints and facts."""

from __future__ import annotations

import sys

import click

from tui.cli.common import Packs, load_rules, pack_option
from tui.cli.storing import say


@click.command()
@click.argument("text")
@click.option("--json", "as_json", is_flag=True, help="One JSON document instead of sentences.")
@pack_option
def listen(text: str, as_json: bool, pack: Packs) -> None:
    """Say what is understood of TEXT, a bad ride in the rider's words (- for standard input).

    Each complaint, fact and reading stands with the words it comes from. What is not sure becomes a
    question; what is denied, past, supposed or about another bike is not taken.
    """
    from diagnose.listening.listen import Listener

    if text == "-":
        text = sys.stdin.buffer.read().decode("utf-8", errors="replace")
    rules = load_rules(pack)
    story = Listener(rules).listen(text)
    if as_json:
        from diagnose.words.heard_document import heard_document

        click.echo(heard_document(rules, story).model_dump_json(indent=2))
        return
    from diagnose.words.heard_words import heard_lines

    say(heard_lines(rules, story))
