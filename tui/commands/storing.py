"""What the commands that use the store share: where it is, opening it, and the moment."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable
from datetime import UTC, date, datetime
from typing import TYPE_CHECKING, Any

import click

from tui.commands.common import or_exit

if TYPE_CHECKING:
    from diagnose.records.learning import Learned
    from diagnose.records.store import Store
    from rules.rulebase import RuleBase

store_option = click.option(
    "--store",
    metavar="WHERE",
    help="File or SQLAlchemy URL of the store; else $BADRIDE_STORE, else your data folder.",
)


def now() -> datetime:
    """The moment, aware. The one clock of the program."""
    return datetime.now(UTC)


def today() -> date:
    """The day as the person sees it on the wall."""
    return datetime.now().astimezone().date()


def open_or_exit(where: str | None, *, create: bool = False) -> Store:
    """The store. Exits with a message where there is none or it cannot be used."""

    def opened() -> Store:
        from diagnose.records.opening import open_store
        from diagnose.records.place import find_place
        from diagnose.records.problems import NoStore

        place = find_place(where, os.environ)
        try:
            return open_store(place, now, create=create)
        except NoStore as error:
            raise NoStore(f"{error}; `badride bike add NAME` begins one") from None

    return or_exit(opened)


def learned_from(store: Store, rules: RuleBase) -> Learned:
    """The rule base as the shop's own proven cases have moved it."""
    from diagnose.records.learning import learn
    from diagnose.records.lessons import lessons_in_use

    return or_exit(lambda: learn(rules, lessons_in_use(store, rules.info.id)))


def say(lines: Iterable[str]) -> None:
    """Print lines."""
    for line in lines:
        click.echo(line)


def with_options(*options: Callable[[Any], Any]) -> Callable[[Any], Any]:
    """Several click options as one decorator."""

    def apply(command: Any) -> Any:
        for option in reversed(options):
            command = option(command)
        return command

    return apply
