"""`self-check`: is everything on this computer as the program needs it?"""

from __future__ import annotations

import os
import sys

import click

from tui.cli.common import Packs
from tui.cli.storing import store_and_packs
from tui.terminal.statuses import UNSOUND


@click.command("self-check")
@store_and_packs
def self_check(store: str | None, pack: Packs) -> None:
    """Look at everything the program needs on this computer, and say what to do about trouble.

    Looks at Python and the libraries, the rule engine, the rule base, the settings, everything that
    is kept in the store and the room it has, the clock, the terminal and the log. Changes nothing.
    Exit status 1 when something is BAD.
    """
    from diagnose.records.store.place import find_place
    from rules.loading.loader import load_packs
    from rules.problems import BadInput
    from tui.cli.program import looks
    from tui.cli.settings import settings_path
    from tui.terminal.clock import now
    from tui.terminal.logs import log_path

    try:
        rules = load_packs(pack)
    except BadInput:
        rules = None  # its own look says why
    encoding = sys.stdout.encoding or "no encoding"
    is_terminal = sys.stdout.isatty()
    wrong = 0
    last = ""
    for name, seen in looks.see_all(
        [
            ("python", looks.python_and_libraries),
            ("engine", looks.rule_engine),
            ("rules", lambda: looks.rule_base(pack)),
            ("settings", lambda: looks.settings(settings_path(os.environ))),
            ("store", lambda: looks.kept(find_place(store, os.environ), rules, now())),
            (
                "terminal",
                lambda: looks.terminal(os.environ, is_terminal=is_terminal, encoding=encoding),
            ),
            ("log", lambda: looks.log_file(log_path())),
        ]
    ):
        wrong += seen.state is looks.State.BAD
        click.echo(f"{'' if name == last else name:<10}{seen.state.value:<6}{seen.words}")
        last = name
        if seen.advice:
            click.echo(f"{'':<16}{seen.advice}")
    if wrong:
        click.echo(f"\n{wrong} to put right.")
        sys.exit(UNSOUND)
    click.echo("\nAll as it should be.")
