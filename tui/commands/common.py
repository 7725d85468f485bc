"""What commands share: loading the rule base, and bad input as a message and an exit status."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

import click

if TYPE_CHECKING:
    from diagnose.interview import Workshop
    from rules.rulebase import RuleBase

BAD_INPUT = 2
INTERRUPTED = 130

T = TypeVar("T")

pack_option = click.option(
    "--pack",
    type=click.Path(path_type=Path, file_okay=False),
    help="Folder of another rule base.",
)
at_once_option = click.option(
    "--causes-at-once",
    type=click.IntRange(1, 3),
    default=2,
    show_default=True,
    help="How many causes may be at work together; 3 is slower.",
)


def or_exit(work: Callable[[], T]) -> T:
    """Run `work`; bad input becomes its message on standard error and exit status 2."""
    from rules.problems import BadInput

    try:
        return work()
    except BadInput as error:
        click.echo(str(error), err=True)
        sys.exit(BAD_INPUT)


def load_rules(pack: Path | None) -> RuleBase:
    """The rule base in `pack`, or the one that ships. Exits with a message when it is unsound."""
    from rules.loader import OFFROAD, load_pack

    return or_exit(lambda: load_pack(pack or OFFROAD))


def open_workshop(pack: Path | None, causes_at_once: int) -> Workshop:
    """The rule base ready for work. Exits with a message when it is unsound."""
    from diagnose.interview import Workshop

    rules = load_rules(pack)
    return or_exit(lambda: Workshop(rules, causes_at_once))
