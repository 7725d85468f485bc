"""What the commands that use the store share: where it is, opening it, and the moment."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING, Any

import click

from tui.cli.common import or_exit, pack_option
from tui.terminal.clock import now

if TYPE_CHECKING:
    from datetime import datetime

    from diagnose.records.learning.learned import Learned
    from diagnose.records.store.store import Store
    from rules.rulebase import RuleBase


def with_options(*options: Callable[[Any], Any]) -> Callable[[Any], Any]:
    """Several click options as one decorator."""

    def apply(command: Any) -> Any:
        for option in reversed(options):
            command = option(command)
        return command

    return apply


store_option = click.option(
    "--store",
    metavar="WHERE",
    help="File or SQLAlchemy URL of the store; else $BADRIDE_STORE, else your data folder.",
)
store_and_packs = with_options(store_option, pack_option)
no_learned_option = click.option(
    "--no-learned", is_flag=True, help="Leave out what the shop's own cases taught."
)


def open_or_exit(where: str | None, *, create: bool = False) -> Store:
    """The store. Exits with a message where there is none or it cannot be used."""
    return or_exit(lambda: opened_store(where, create=create))


def opened_store(where: str | None, *, create: bool = False) -> Store:
    """The store. Raises `BadInput` where there is none or it cannot be used."""
    from diagnose.records.store.opening import open_store
    from diagnose.records.store.place import find_place
    from diagnose.records.store.store_problems import NoStore

    place = find_place(where, os.environ)
    try:
        return open_store(place, now, create=create)
    except NoStore as error:
        raise NoStore(f"{error}; `badride bike add NAME` begins one") from None


def learned_from(store: Store, rules: RuleBase, until: datetime | None = None) -> Learned:
    """The rule base as the shop's own proven cases have moved it, those from before `until`."""
    from diagnose.records.learning.learned import learn_in_use

    return or_exit(lambda: learn_in_use(rules, store, until))


def say(lines: Iterable[str]) -> None:
    """Print lines; what a hostile store holds cannot steer the terminal."""
    for line in lines:
        click.echo("".join(c if c.isprintable() else "?" for c in line))
