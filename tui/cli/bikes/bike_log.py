"""What happens to a bike and what is due: `ride`, `service`, `set`, `compare`, `due` and others."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from tui.cli.bikes.bike_common import begin, day_given
from tui.cli.common import Packs, load_rules, or_exit, refuse
from tui.cli.storing import open_or_exit, say, store_and_packs
from tui.terminal.clock import today

if TYPE_CHECKING:
    from diagnose.records.bikes.bike_journal import Felt, RideEntry, ServiceEntry

_on = click.option("--on", "on_text", metavar="DATE", help="The day it was, such as 2026-05-31.")
_note = click.option("--note", "why", default="", help="A remark to keep with it.")


_HOURS_SINCE = (
    "Hours that oil has done: log the meter and the service of that day with --on, then the meter "
    "now (`badride guide after-a-bad-ride`)"
)


@click.command()
@click.argument("name")
@click.argument("hours", required=False)
@click.option("--meter", metavar="HOURS", help="What the hour meter reads now, instead.")
@click.option("--new-meter", is_flag=True, help="The hour meter was changed; it reads --meter now.")
@click.option(
    "--felt",
    type=click.Choice(["right", "wrong"]),
    help="How it felt; unless said, a ride of an earlier day felt right.",
)
@_on
@_note
@store_and_packs
def ride(
    name: str,
    hours: str | None,
    meter: str | None,
    new_meter: bool,
    felt: Felt | None,
    on_text: str | None,
    why: str,
    store: str | None,
    pack: Packs,
) -> None:
    """Log a ride of HOURS, or the hour meter.

    How many hours oil has done comes of the meter on the day of its service, the service, and the
    meter now.
    """
    from diagnose.records.bikes.bike_input import MeterRunsBack, read_ride
    from rules.problems import BadInput

    _, book = begin(store, pack)
    on = day_given(on_text)
    found = or_exit(lambda: book.read(name))

    def read() -> RideEntry:
        try:
            return read_ride(found, hours, meter, on, new_meter=new_meter, why=why, felt=felt)
        except MeterRunsBack as error:
            raise BadInput(f"{error}; give --new-meter if the meter was changed") from error
        except BadInput as error:
            if hours is None:
                raise
            raise BadInput(
                f"{error}. What the hour meter reads is --meter. {_HOURS_SINCE}"
            ) from error

    entry = or_exit(read)
    after = or_exit(lambda: book.append(name, [entry]))
    click.echo(f"{after.name}: {after.total_hours:.4g} h in all.")


@click.command()
@click.argument("name")
@click.argument("clock", nargs=-1, required=True)
@_on
@_note
@store_and_packs
def service(
    name: str,
    clock: tuple[str, ...],
    on_text: str | None,
    why: str,
    store: str | None,
    pack: Packs,
) -> None:
    """Log a service: each CLOCK (see `bike due`), such as 'fork oil', counts from 0 again."""
    from diagnose.records.bikes.bike_input import read_service
    from diagnose.words.titles import clock_title
    from rules.problems import BadInput

    rules, book = begin(store, pack)
    on = day_given(on_text)

    def read() -> list[ServiceEntry]:
        try:  # one name of several words may stand there without quotes
            return [read_service(rules, " ".join(clock), on, why)]
        except BadInput:
            return [read_service(rules, one, on, why) for one in clock]

    entries = or_exit(read)
    after = or_exit(lambda: book.append(name, list(entries)))
    done = ", ".join(clock_title(rules, entry.clock) for entry in entries)
    click.echo(f"{after.name}: {done} on {on.isoformat()}.")


@click.command("set")
@click.argument("name")
@click.argument("setting", nargs=-1, required=True)
@click.option("--baseline", is_flag=True, help="This is how it should stand from now on.")
@_on
@_note
@store_and_packs
def set_bike(
    name: str,
    setting: tuple[str, ...],
    baseline: bool,
    on_text: str | None,
    why: str,
    store: str | None,
    pack: Packs,
) -> None:
    """Note how things stand: OBSERVATION=READING, such as fork-rebound-clicks=12."""
    from diagnose.records.bikes.bike_input import read_setting
    from diagnose.records.bikes.service import clocks
    from diagnose.words.answers import answer_text
    from diagnose.words.titles import setting_title
    from tui.terminal.text import wrapped

    rules, book = begin(store, pack)
    on = day_given(on_text)
    for clock in {one.partition("=")[0].strip() for one in setting} & set(clocks(rules)):
        refuse(f"{clock} counts by itself from the services logged. {_HOURS_SINCE}")
    entries = or_exit(
        lambda: [read_setting(rules, one, on, baseline=baseline, why=why) for one in setting]
    )
    after = or_exit(lambda: book.append(name, list(entries)))
    click.echo(f"{after.name}: {len(entries)} noted for {on.isoformat()}.")
    for entry in entries:
        now = after.now[entry.observation]
        if now.on > entry.on:
            said = f"{answer_text(rules, now.answer)} of {now.on.isoformat()}"
            title = setting_title(rules, entry.observation)
            say(wrapped(f"{title}: {said} is later, so that is how it stands.", "  ", "  "))


@click.command()
@click.argument("name")
@click.option("--all", "every", is_flag=True, help="What stands the same too.")
@store_and_packs
def compare(name: str, every: bool, store: str | None, pack: Packs) -> None:
    """The baseline against now, with what takes each setting back."""
    from diagnose.records.bikes.against_baseline import differences
    from tui.bikes.bike_lines import difference_lines

    rules, book = begin(store, pack)
    found = or_exit(lambda: book.read(name))
    say(difference_lines(rules, differences(rules, found), every=every))
    unknown = sorted(name for name in found.now if name not in rules.observations)
    if unknown:
        click.echo(f"Also on record, but not in this rule base: {', '.join(unknown)}.")


@click.command()
@click.argument("name")
@click.option(
    "--only", metavar="WORDS", default="", help="Only figures whose name has these words."
)
@click.option("--days", type=click.IntRange(1, 3650), default=365, show_default=True)
@store_and_packs
def season(name: str, only: str, days: int, store: str | None, pack: Packs) -> None:
    """Hours, sag, pressures and clicks over time as charts, with services and cases marked."""
    from diagnose.records.bikes.bike_book import BikeBook
    from diagnose.records.cases.case_lists import CaseFilter, list_cases
    from diagnose.records.cases.season import season_of
    from tui.bikes.season_lines import line_title, season_lines
    from tui.terminal.charts import fancy_output

    rules = load_rules(pack)
    kept = open_or_exit(store)
    found = or_exit(lambda: BikeBook(kept).read(name))
    cases = or_exit(lambda: list_cases(kept, CaseFilter(bike=found.name, limit=1000))).rows
    seen = season_of(rules, found, cases, today(), days)
    words = only.casefold().split()
    lines = [
        line
        for line in seen.lines
        if all(word in line_title(rules, line).casefold() for word in words)
    ]
    if words and not lines:
        known = "; ".join(line_title(rules, line) for line in seen.lines) or "nothing yet"
        refuse(f"nothing on record is called {only!r}; there is: {known}")
    say(season_lines(rules, found.name, seen, lines, fancy=fancy_output()))


@click.command()
@click.argument("name")
@store_and_packs
def due(name: str, store: str | None, pack: Packs) -> None:
    """Services: what is left of each interval, and about when it runs out."""
    from diagnose.records.bikes.service import clock_states
    from tui.bikes.bike_lines import due_lines

    rules, book = begin(store, pack)
    found = or_exit(lambda: book.read(name))
    say(due_lines(rules, found, clock_states(rules, found, today()), today()))


@click.command()
@click.argument("name")
@store_and_packs
def check(name: str, store: str | None, pack: Packs) -> None:
    """What to look at before a ride, what is due first."""
    from diagnose.records.bikes.before_ride import before_ride, list_source
    from diagnose.records.bikes.service import clock_states
    from tui.bikes.bike_lines import check_lines

    rules, book = begin(store, pack)
    found = or_exit(lambda: book.read(name))
    checks = or_exit(lambda: before_ride(rules, found, today()))
    say(check_lines(rules, checks, list_source(rules), clock_states(rules, found, today())))
