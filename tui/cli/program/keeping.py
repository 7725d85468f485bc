"""`backup`, `restore`, `export`: keeping what is kept."""

from __future__ import annotations

from pathlib import Path

import click

from tui.cli.common import Packs, load_rules, or_exit
from tui.cli.person_path import PersonPath
from tui.cli.storing import open_or_exit, store_and_packs, store_option
from tui.cli.writing import file_argument, write_or_print

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
@store_option
def restore(file: Path, store: str | None) -> None:
    """Put the backup FILE into an empty store; a store with something in it is left alone."""
    from diagnose.records.store.backup import restore as bring_back
    from diagnose.records.store.backup import sound_backup

    or_exit(lambda: sound_backup(file))
    kept = open_or_exit(store, create=True)
    click.echo(f"{kept.place}: {_told(or_exit(lambda: bring_back(kept, file)))}.")
    click.echo("`badride self-check` reads all of it.")


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
