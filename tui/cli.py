"""The command line. Exit status: 0 done, 2 bad input, 130 interrupted."""

from __future__ import annotations

import click

from tui.commands.bikes import bike
from tui.commands.calc import calc
from tui.commands.card import card
from tui.commands.cases import cases
from tui.commands.harsh import harsh
from tui.commands.headless import case, list_entries
from tui.commands.interviewing import ask
from tui.commands.keeping import backup, check_store, export, restore
from tui.commands.learned import learned
from tui.commands.rulebase import rules
from tui.commands.screen import picture, screen


@click.group(context_settings={"help_option_names": ["-h", "--help"]}, invoke_without_command=True)
@click.version_option(package_name="badride")
@click.pass_context
def main(context: click.Context) -> None:
    """From a bad ride to its cause, its correction and a ride that proves it.

    Without a command the bench card opens.
    """
    if context.invoked_subcommand is None:
        context.invoke(screen)


for command in (ask, case, list_entries, harsh, screen, picture, calc, rules):
    main.add_command(command)
for command in (bike, cases, card, learned, backup, restore, export, check_store):
    main.add_command(command)
