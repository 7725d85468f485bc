"""`rules`: check a rule base, look into it, and see how it does. One module per command or two."""

from __future__ import annotations

import click

from tui.cli.rules.add import add, undo
from tui.cli.rules.check import check
from tui.cli.rules.cover import cover
from tui.cli.rules.graph import graph
from tui.cli.rules.handbook import handbook
from tui.cli.rules.new import new
from tui.cli.rules.schema import schema
from tui.cli.rules.sensitive import sensitive
from tui.cli.rules.show import show
from tui.cli.rules.test import run_tests
from tui.cli.rules.trial import trial
from tui.cli.rules.why import why


@click.group()
def rules() -> None:
    """Check a rule base, look into it, and see how it does."""


for command in (add, undo, check, new, schema, show, why, run_tests, trial):
    rules.add_command(command)
for command in (sensitive, cover, handbook, graph):
    rules.add_command(command)
