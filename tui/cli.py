"""The command line. Exit status: 0 done, 2 bad input, 130 interrupted."""

from __future__ import annotations

import click

from tui.commands.headless import case, list_entries
from tui.commands.interviewing import ask


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="badride")
def main() -> None:
    """From a bad ride to its cause, its correction and a ride that proves it."""


for command in (ask, case, list_entries):
    main.add_command(command)
