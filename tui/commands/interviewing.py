"""`ask`: the interview line by line."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from tui.commands.common import INTERRUPTED, at_once_option, open_workshop, pack_option


@click.command()
@pack_option
@at_once_option
def ask(pack: Path | None, causes_at_once: int) -> None:
    """Interview line by line, in any terminal."""
    from diagnose.interview import Interview
    from tui.plain import PlainInterview

    try:
        interview = Interview(open_workshop(pack, causes_at_once))
        PlainInterview(interview, _read_line, click.echo).run()
    except KeyboardInterrupt:
        click.echo("\nStopped.")
        sys.exit(INTERRUPTED)


def _read_line(prompt: str) -> str:
    click.echo(prompt, nl=False)
    line = sys.stdin.readline()
    if not line:
        click.echo("")
        raise EOFError
    return line
