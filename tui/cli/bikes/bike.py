"""`bike`: the bikes you keep, their settings, hours and services."""

from __future__ import annotations

import shlex
from collections.abc import Iterator, Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from tui.cli.bikes.bike_common import begin, day_given
from tui.cli.bikes.bike_log import check, compare, due, ride, season, service, set_bike
from tui.cli.common import Packs, load_rules, or_exit, refuse, run_alone
from tui.cli.person_path import PersonPath
from tui.cli.storing import open_or_exit, say, store_and_packs, with_options
from tui.cli.writing import file_argument, write_or_print
from tui.terminal.clock import today

if TYPE_CHECKING:
    from diagnose.records.bikes.bike_journal import BikeEntry
    from rules.rulebase import RuleBase

_facts = with_options(
    click.option("--machine", multiple=True, metavar="TRAIT=OPTION", help="What kind it is."),
    click.option("--use", help="What it is ridden on and for."),
    click.option("--figure", multiple=True, metavar="SPEC=FIGURE", help="A figure of the manual."),
    click.option("--read-in", metavar="WHERE", help="Where the figures were read."),
)


@click.group(invoke_without_command=True)
@click.pass_context
def bike(context: click.Context) -> None:
    """Bikes you keep: settings, hours, services, what is due; alone, the list of them."""
    if context.invoked_subcommand is None:
        run_alone(context, list_bikes)


def _facts_of(
    rules: RuleBase,
    machine: Sequence[str],
    use: str | None,
    figures: Sequence[str],
    read_in: str | None,
    on: date,
) -> list[BikeEntry]:
    from diagnose.records.bikes.bike_input import read_facts, read_figure

    entries: list[BikeEntry] = []
    if machine or use is not None:
        entries.append(read_facts(rules, machine, use))
    entries += [read_figure(rules, text, read_in, on) for text in figures]
    return entries


@bike.command()
@click.argument("name")
@_facts
@click.option("--setting", multiple=True, metavar="OBSERVATION=READING", help="How it is set.")
@click.option("--meter", metavar="HOURS", help="What the hour meter read then.")
@click.option(
    "--service",
    multiple=True,
    metavar="CLOCK[=DATE]",
    help="What was serviced, such as 'fork oil=2026-03-01'; without a date, on the day of --on.",
)
@click.option(
    "--on", "on_text", metavar="DATE", help="The day all of it was so, such as 2026-03-31."
)
@store_and_packs
def add(
    name: str,
    machine: tuple[str, ...],
    use: str | None,
    figure: tuple[str, ...],
    read_in: str | None,
    setting: tuple[str, ...],
    meter: str | None,
    service: tuple[str, ...],
    on_text: str | None,
    store: str | None,
    pack: Packs,
) -> None:
    """Keep a new bike. Settings given here are its baseline, as of today or of --on."""
    from diagnose.records.bikes.bike import Bike
    from diagnose.records.bikes.bike_input import read_ride, read_service, read_setting

    rules = load_rules(pack)
    on = day_given(on_text)
    entries = or_exit(lambda: _facts_of(rules, machine, use, figure, read_in, on))
    entries += or_exit(lambda: [read_setting(rules, text, on, baseline=True) for text in setting])
    if meter is not None:
        entries.append(
            or_exit(lambda: read_ride(Bike(""), None, meter, on, new_meter=False, why=""))
        )
    done = [(clock, day_given(day)) for clock, day in _services(service, on)]
    entries += or_exit(lambda: [read_service(rules, clock, day, "") for clock, day in done])
    from diagnose.records.bikes.bike_book import BikeBook
    from diagnose.records.store.names import good_name

    proper = or_exit(lambda: good_name(name))
    book = BikeBook(open_or_exit(store, create=True))
    added = or_exit(lambda: book.add(proper, entries))
    asked = f"badride ask --bike {shlex.quote(added.name)}"
    click.echo(f"{added.name} is kept. `{asked}` starts a case on it.")


def _services(given: Sequence[str], on: date) -> Iterator[tuple[str, str]]:
    """Clock and day of each `CLOCK` or `CLOCK=DATE`."""
    for text in given:
        clock, _, day = text.partition("=")
        yield clock, day.strip() or on.isoformat()


@bike.command()
@click.argument("name")
@_facts
@click.option("--rename", metavar="NEW", help="Another name.")
@click.option("--strike", type=int, multiple=True, metavar="N", help="Log entry N was a mistake.")
@store_and_packs
def edit(
    name: str,
    machine: tuple[str, ...],
    use: str | None,
    figure: tuple[str, ...],
    read_in: str | None,
    rename: str | None,
    strike: tuple[int, ...],
    store: str | None,
    pack: Packs,
) -> None:
    """Change what is known of a bike. FIGURE `none` takes a figure back."""
    from diagnose.records.bikes.bike_journal import StruckEntry

    rules, book = begin(store, pack)
    entries = or_exit(lambda: _facts_of(rules, machine, use, figure, read_in, today()))
    found = or_exit(lambda: book.read(name))

    logged = {item.seq for item in found.settings} | {item.seq for item in found.rides}
    logged |= {item.seq for item in found.services}
    for number in strike:
        if number not in logged:
            refuse(f"{number} is no log entry; `badride bike show --log` numbers them")
        entries.append(StruckEntry(seq=number))
    if not entries and rename is None:
        refuse("nothing to change; give --machine, --use, --figure, --rename or --strike")
    if rename is not None:
        or_exit(lambda: book.rename(name, rename))
    if entries:
        or_exit(lambda: book.append(rename or name, entries, found.version))
    click.echo("Kept.")


@bike.command()
@click.argument("name")
@click.option("--log", is_flag=True, help="Every ride, service and setting, numbered.")
@store_and_packs
def show(name: str, log: bool, store: str | None, pack: Packs) -> None:
    """Everything on record of a bike."""
    from tui.bikes.bike_lines import bike_lines

    rules, book = begin(store, pack)
    say(bike_lines(rules, or_exit(lambda: book.read(name)), today(), log=log))


@bike.command("list")
@click.option("--archived", is_flag=True, help="Archived ones too.")
@store_and_packs
def list_bikes(archived: bool, store: str | None, pack: Packs) -> None:
    """The bikes you keep."""
    from tui.bikes.bike_lines import list_lines

    del pack
    from diagnose.records.bikes.bike_book import BikeBook

    book = BikeBook(open_or_exit(store))
    say(list_lines(or_exit(lambda: book.rows(archived=archived))))


@bike.command()
@click.argument("name")
@click.option("--back", is_flag=True, help="Bring it back.")
@store_and_packs
def archive(name: str, back: bool, store: str | None, pack: Packs) -> None:
    """Put a bike away; nothing of it is deleted."""
    _, book = begin(store, pack)
    kept = or_exit(lambda: book.archive(name, not back))
    click.echo(f"{kept.name} is {'back' if back else 'archived'}.")


@bike.command("export")
@click.argument("name")
@file_argument
@store_and_packs
def export_bike(name: str, file: Path, store: str | None, pack: Packs) -> None:
    """Write a bike as YAML to FILE, or to standard output."""
    from diagnose.records.bikes.bike_file import write_bike

    _, book = begin(store, pack)
    write_or_print(write_bike(or_exit(lambda: book.read(name))), file)


@bike.command("import")
@click.argument("file", type=PersonPath())
@click.option("--name", help="Keep it under another name.")
@store_and_packs
def import_bike(file: Path, name: str | None, store: str | None, pack: Packs) -> None:
    """Keep the bike of a YAML FILE."""
    from diagnose.records.bikes.bike_file import read_bike

    rules = load_rules(pack)
    proper, entries = or_exit(lambda: read_bike(rules, file, today(), name))
    _, book = begin(store, pack, create=True)
    added = or_exit(lambda: book.add(proper, entries))
    click.echo(f"{added.name} is kept.")


for command in (ride, service, set_bike, compare, season, due, check):
    bike.add_command(command)
