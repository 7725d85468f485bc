"""`backup`, `restore`, `check-store`, `export`: keeping what is kept."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from tui.cli.common import Packs, load_rules, or_exit
from tui.cli.person_path import PersonPath
from tui.cli.storing import open_or_exit, say, store_and_packs, store_option
from tui.cli.writing import file_argument, write_or_print
from tui.terminal.statuses import UNSOUND
from tui.terminal.text import wrapped

if TYPE_CHECKING:
    from diagnose.records.store.chain.damage import Damage

_file = click.argument("file", type=PersonPath())


def _told(sizes: dict[str, int]) -> str:
    return f"{sizes['bikes']} bikes, {sizes['cases']} cases, {sizes['case_entries']} case entries"


@click.command()
@_file
@store_option
def backup(file: Path, store: str | None) -> None:
    """Write the whole store to FILE, whatever database it lives in."""
    from diagnose.records.store.backup import back_up

    kept = open_or_exit(store)
    click.echo(f"{file}: {_told(or_exit(lambda: back_up(kept, file)))}.")


@click.command()
@_file
@click.option("--damaged", is_flag=True, help="Also a backup in which entries are lost or changed.")
@store_option
def restore(file: Path, damaged: bool, store: str | None) -> None:
    """Put the backup FILE into an empty store and verify it; a store with something in it is left
    alone."""
    from diagnose.records.store.backup import restore as bring_back
    from diagnose.records.store.backup import sound_backup

    or_exit(lambda: sound_backup(file))
    kept = open_or_exit(store, create=True)
    done = or_exit(lambda: bring_back(kept, file, damaged=damaged))
    click.echo(f"{kept.place}: {_told(done.sizes)}.")
    if done.damage:
        _say_damage(done.damage)
        sys.exit(UNSOUND)
    if done.chained:
        click.echo("Verified: every entry is as it was written.")
    else:
        click.echo(
            "Every entry is there. The backup is from before entries were chained, so what was "
            "changed in it earlier would not show."
        )


@click.command("check-store")
@store_and_packs
def check_store(store: str | None, pack: Packs) -> None:
    """Read all that is kept: what is missing, changed or cannot be read, and what to do.

    Entries are chained: one that was changed, taken out or cut off shows. Changes nothing. Exit
    status 1 when something is damaged.
    """
    from diagnose.training.records.store_check import look_through

    rules = load_rules(pack)
    kept = open_or_exit(store)
    looked = or_exit(lambda: look_through(kept, rules))
    if looked.damage:
        click.echo(f"{kept.place}: {_told(looked.sizes)}; NOT SOUND.")
        _say_damage(looked.damage)
        sys.exit(UNSOUND)
    click.echo(f"{kept.place}: {_told(looked.sizes)}; every entry is as it was written.")


def _say_damage(damage: Sequence[Damage]) -> None:
    for number, one in enumerate(damage, 1):
        say(wrapped(f"{one.where}: {one.what}.", "      ", f"{number:>4}  "))
        say(wrapped(f"{one.advice}.", "      ", "      "))
    click.echo("Nothing was changed. Copy the store before you do anything with it.")


@click.command()
@file_argument
@click.option("--json", "as_json", is_flag=True, help="Everything, with journals, as one document.")
@store_and_packs
def export(file: Path, as_json: bool, store: str | None, pack: Packs) -> None:
    """Write every case for analysis: CSV with a row per case, or --json."""
    from diagnose.records.cases.case_book import CaseBook
    from diagnose.records.cases.exporting import export_csv, export_json

    book = CaseBook(open_or_exit(store), load_rules(pack))
    write_or_print(or_exit(lambda: (export_json if as_json else export_csv)(book)), file)
