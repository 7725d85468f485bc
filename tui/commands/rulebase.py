"""`rules`: check a rule base, look into it, and see how it does. One module per command or two."""

from __future__ import annotations

import click

from tui.commands.rules_check import check
from tui.commands.rules_cover import cover
from tui.commands.rules_graph import graph
from tui.commands.rules_handbook import handbook
from tui.commands.rules_new import new
from tui.commands.rules_schema import schema
from tui.commands.rules_sensitive import sensitive
from tui.commands.rules_show import show
from tui.commands.rules_test import run_tests
from tui.commands.rules_trial import trial
from tui.commands.rules_why import why


@click.group()
def rules() -> None:
    """Check a rule base, look into it, and see how it does."""


for command in (check, new, schema, show, why, run_tests, trial, sensitive, cover, handbook, graph):
    rules.add_command(command)
