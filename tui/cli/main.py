"""The command line. `badride help exit` has the exit statuses."""

from __future__ import annotations

import logging
import os
import sys
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

import click

from rules.problems import BadInput
from tui.cli.bikes.bike import bike
from tui.cli.cases.ask import ask
from tui.cli.cases.card import card
from tui.cli.cases.case import case
from tui.cli.cases.cases import cases
from tui.cli.cases.learned import learned
from tui.cli.cases.listen import listen
from tui.cli.common import or_exit, run_alone
from tui.cli.examples import show_examples
from tui.cli.physics.calc import calc
from tui.cli.physics.harsh import harsh
from tui.cli.program.guide import guide
from tui.cli.program.keeping import backup, check_store, export, restore
from tui.cli.program.screen import picture, screen
from tui.cli.program.self_check import self_check
from tui.cli.program.serve import serve
from tui.cli.program.settings_commands import completion, help_, settings
from tui.cli.rules.naming import list_entries
from tui.cli.rules.rules import rules
from tui.cli.training.course import course
from tui.cli.training.exam import exam
from tui.cli.training.train import train
from tui.cli.training.trainee import trainee
from tui.terminal.logs import DEFAULT, LEVELS, broken_words, log, log_breakdown, log_path, start_log
from tui.terminal.logs import ENVIRONMENT as LOG_LEVEL
from tui.terminal.statuses import BAD_INPUT, BROKE
from tui.terminal.streams import prepare_streams, unwritable_is_said

if TYPE_CHECKING:
    from tui.cli.settings import Settings

# these must work when what a person has set cannot be read
_WITHOUT_SETTINGS = frozenset({"settings", "self-check", "help", "completion", "guide"})
_HELP = ["-h", "--help"]


class _Commands(click.Group):
    """Works with any standard streams, or none; bad input that a command finds is a message."""

    def invoke(self, ctx: click.Context) -> Any:
        return or_exit(lambda: super(_Commands, self).invoke(ctx))

    def main(self, *args: Any, **options: Any) -> Any:
        prepare_streams()
        given = options.get("args") or (args[0] if args else None) or sys.argv[1:]
        if not set(_HELP).isdisjoint(given):
            show_examples(self)
        with unwritable_is_said(BAD_INPUT):
            return super().main(*args, **options)

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """An option of the screens that stands alone is told where it belongs."""
        try:
            return super().parse_args(ctx, args)
        except click.NoSuchOption as error:
            if any(error.option_name in [*p.opts, *p.secondary_opts] for p in screen.params):
                name = error.option_name
                words = f"{name} is an option of the screens: badride screen {name}"
                raise click.UsageError(words, ctx) from None
            raise


@click.group(
    cls=_Commands,
    context_settings={"help_option_names": _HELP},
    invoke_without_command=True,
)
@click.version_option(package_name="badride")
@click.option(
    "--log",
    "log_level",
    type=click.Choice(list(LEVELS)),
    default=DEFAULT,
    show_default=True,
    envvar=LOG_LEVEL,
    help="How much goes to the log file.",
)
@click.pass_context
def main(context: click.Context, log_level: str) -> None:
    """From a bad ride to its cause, its correction and a ride that proves it.

    Without a command the bench card opens. `badride help TOPIC` tells of exit statuses (exit), the
    environment and files.
    """
    start_log(log_level, log_path())
    log.info("started: %s", context.invoked_subcommand or "screen")
    from tui.cli.settings import apply_to_terminal, option_defaults  # not for --help

    context.obj = _settings(must=context.invoked_subcommand not in _WITHOUT_SETTINGS)
    apply_to_terminal(context.obj, os.environ)
    context.default_map = _by_command(main, option_defaults(context.obj, os.environ))
    if context.invoked_subcommand is None:
        run_alone(context, screen)


for command in (ask, listen, case, list_entries, harsh, screen, serve, picture, calc, rules):
    main.add_command(command)
for command in (bike, cases, card, learned, backup, restore, check_store, export):
    main.add_command(command)
for command in (train, course, exam, trainee, guide):
    main.add_command(command)
for command in (self_check, settings, completion, help_):
    main.add_command(command)


def run() -> None:
    """The program. An error of its own is told in a line; the log says where it was."""
    try:
        main()
    except Exception as error:
        if log.isEnabledFor(logging.DEBUG):
            raise
        log_breakdown(error)
        click.echo(broken_words(error), err=True)
        sys.exit(BROKE)


def _settings(*, must: bool) -> Settings:
    from tui.cli.settings import Settings, read_settings, settings_path

    def read() -> Settings:
        try:
            return read_settings(settings_path(os.environ))
        except BadInput:
            if must:
                raise
            return Settings()

    return or_exit(read)


def _by_command(command: click.Command, given: Mapping[str, Any]) -> dict[str, Any]:
    """The options that `command` and those below it have, as click wants defaults."""
    if isinstance(command, click.Group):
        return {name: _by_command(below, given) for name, below in command.commands.items()}
    return {name: given[name] for name in given.keys() & {part.name for part in command.params}}
