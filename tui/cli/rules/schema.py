"""`rules schema`: the shape of a pack file, for editors."""

from __future__ import annotations

from pathlib import Path

import click

from tui.cli.common import or_exit


@click.command("schema")
@click.option("-o", "--output", type=click.Path(path_type=Path), help="The file to write.")
def schema(output: Path | None) -> None:
    """Print the JSON Schema of a pack file, so that an editor can complete and check it.

    Editors find it by a comment in the first line of a file, which `rules new` writes:
    `# yaml-language-server: $schema=pack.schema.json`.
    """
    import json

    from rules.writing.json_schema import pack_schema

    text = json.dumps(pack_schema(), indent=2, ensure_ascii=False) + "\n"
    if output is None:
        click.echo(text, nl=False)
        return
    from diagnose.records.file_writing import write_bytes

    or_exit(lambda: write_bytes(output, text.encode("utf-8")))
    click.echo(f"{output} is written.")
