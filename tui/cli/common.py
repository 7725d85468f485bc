"""What commands share: loading the rule base, and bad input as a message and an exit status."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn, TypeVar

import click

from tui.cli.person_path import PersonPath
from tui.terminal.statuses import BAD_INPUT

if TYPE_CHECKING:
    from diagnose.advice.assessor import Assessor
    from rules.rulebase import RuleBase

T = TypeVar("T")

Packs = tuple[Path, ...]
"""Folders of packs, from the bottom of the stack up; none is the pack that ships."""

pack_option = click.option(
    "--pack",
    type=PersonPath(file_okay=False),
    multiple=True,
    envvar="BADRIDE_PACKS",
    help="Folder of a pack; may be given several times, each builds on those before it."
    " BADRIDE_PACKS names them for good.",
)


def refuse(message: str) -> NoReturn:
    """End the program as bad input does: `message` on standard error and exit status 2."""
    from rules.problems import printable

    click.echo(printable(message), err=True)
    sys.exit(BAD_INPUT)


def or_exit(work: Callable[[], T]) -> T:
    """Run `work`; bad input becomes its message on standard error and exit status 2."""
    from rules.problems import BadInput

    try:
        return work()
    except BadInput as error:
        refuse(str(error))


def load_rules(pack: Packs) -> RuleBase:
    """The rule base that the packs make. Exits with a message when it is unsound."""
    from rules.loading.loader import load_packs

    return or_exit(lambda: load_packs(pack))


def folder_stack(packs: Packs, folder: Path) -> Packs:
    """The packs with that of `folder` on top, where it may itself be named among them."""
    named = [path.resolve() for path in packs]
    below = packs[: named.index(folder.resolve())] if folder.resolve() in named else packs
    return (*below, folder)


def open_assessor(pack: Packs) -> Assessor:
    """The rule base ready for work. Exits with a message when it is unsound."""
    from diagnose.advice.assessor import Assessor

    rules = load_rules(pack)
    return or_exit(lambda: Assessor(rules))


def run_alone(context: click.Context, command: click.Command) -> None:
    """Run what a group does where no command follows it; options come from the environment."""
    with command.make_context(command.name, [], parent=context) as opened:
        command.invoke(opened)
