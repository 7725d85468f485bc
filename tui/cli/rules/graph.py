"""`rules graph`: the rule base for graph programs."""

from __future__ import annotations

from pathlib import Path

import click

from tui.cli.common import Packs, load_rules, or_exit, pack_option, refuse
from tui.cli.person_path import PersonPath


@click.command()
@click.argument("out", type=PersonPath(dir_okay=False))
@pack_option
def graph(out: Path, pack: Packs) -> None:
    """Write causes, complaints, observations, findings and corrections with their links to OUT.

    The ending says the format: .graphml, or .dot (.gv).
    """
    from diagnose.authoring.graph import dot, graph_of, graphml
    from diagnose.records.file_writing import write_text

    writers = {".graphml": graphml, ".dot": dot, ".gv": dot}
    writer = writers.get(out.suffix.lower())
    if writer is None:
        refuse(f"{out}: end the name in {', '.join(writers)}")
    made = graph_of(load_rules(pack))
    or_exit(lambda: write_text(out, writer(made)))
    click.echo(f"{out} is written: {len(made.vertices)} nodes, {len(made.edges)} edges.")
