"""`rules schema`: the shape of a pack file, for editors."""

from __future__ import annotations

from pathlib import Path

import click

from tui.cli.writing import output_option, write_or_print


@click.command("schema")
@output_option
def schema(output: Path | None) -> None:
    """Print the JSON Schema of a pack file, so that an editor can complete and check it.

    Editors find it by a comment in the first line of a file, which `rules new` writes:
    `# yaml-language-server: $schema=pack.schema.json`.
    """
    import json

    from rules.writing.json_schema import pack_schema

    write_or_print(json.dumps(pack_schema(), indent=2, ensure_ascii=False) + "\n", output)
