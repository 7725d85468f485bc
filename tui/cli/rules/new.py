"""`rules new`: the folder of a shop's own pack, to fill in."""

from __future__ import annotations

from pathlib import Path

import click

from tui.cli.common import or_exit
from tui.cli.person_path import PersonPath


@click.command()
@click.argument("pack", type=PersonPath())
def new(pack: Path) -> None:
    """Make the folder PACK: a pack of your own on the one that ships, with examples to fill in."""
    from rules.loading.pack_files import OFFROAD
    from rules.writing.new_pack import new_pack, write_pack

    files = or_exit(lambda: new_pack(pack, OFFROAD))
    or_exit(lambda: write_pack(pack, files))
    for name in files:
        click.echo(pack / name)
    click.echo(f"Open these in an editor, then: badride rules check {pack}")
    click.echo(f"Use it: badride ask --pack {pack}")
