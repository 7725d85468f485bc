"""`trainee`: who is in training, how they stand, and their records."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from tui.cli.common import Packs, or_exit
from tui.cli.storing import say, store_and_packs
from tui.cli.training.training_common import open_desk, say_in_blocks, standings
from tui.cli.writing import card_options, chosen_kind, output_option, write_card, write_or_print
from tui.terminal.clock import now, today

if TYPE_CHECKING:
    from diagnose.cards.rendering import Kind


@click.group()
def trainee() -> None:
    """Who is in training and how they stand."""


@trainee.command("add")
@click.argument("name")
@store_and_packs
def add(name: str, store: str | None, pack: Packs) -> None:
    """Begin a record for NAME."""
    desk = open_desk(pack, store, create=True)
    made = or_exit(lambda: desk.trainees.add(name))
    click.echo(
        f'{made.name} is in training. `badride course go "{made.name}"` plays the first lesson.'
    )


@trainee.command("list")
@click.option("--all", "every", is_flag=True, help="Those put away too.")
@store_and_packs
def listed(every: bool, store: str | None, pack: Packs) -> None:
    """Everybody in training, in one line each."""
    from tui.training.words.progress_lines import people_lines

    desk = open_desk(pack, store)
    say(people_lines(standings(desk, archived=every), now()))


@trainee.command("away")
@click.argument("name")
@click.option("--back", is_flag=True, help="Bring them back.")
@store_and_packs
def away(name: str, back: bool, store: str | None, pack: Packs) -> None:
    """Put NAME away out of the lists. Nothing is deleted."""
    from diagnose.training.records.trainee_entries import PutAway

    desk = open_desk(pack, store)
    changed = or_exit(lambda: desk.trainees.append(name, [PutAway(archived=not back)]))
    click.echo(f"{changed.name} is {'put away' if changed.archived else 'back in the lists'}.")


@trainee.command("show")
@click.argument("name")
@store_and_packs
def show(name: str, store: str | None, pack: Packs) -> None:
    """How NAME stands: scores, weak points, groups of causes, exams, what is due."""
    from tui.terminal.charts import fancy_output
    from tui.training.words.progress_lines import progress_lines

    desk = open_desk(pack, store)
    person = or_exit(lambda: desk.standing(name))
    say(progress_lines(desk.guide, desk.course, person, now(), fancy=fancy_output()))


@trainee.command("sign")
@click.argument("name")
@click.argument("unit")
@click.option("--by", required=True, metavar="TRAINER", help="Who has seen it done.")
@click.option(
    "--line", "lines", type=int, multiple=True, help="Only this line of the unit, by its number."
)
@store_and_packs
def sign(
    name: str, unit: str, by: str, lines: tuple[int, ...], store: str | None, pack: Packs
) -> None:
    """Sign off that NAME has done the lines of UNIT at a real bike, before TRAINER's eyes."""
    desk = open_desk(pack, store)
    shown = or_exit(lambda: desk.sign_off(name, unit, by, lines))
    for line in shown:
        click.echo(f"Signed off: {line}")


@trainee.command("compare")
@click.argument("names", nargs=-1)
@click.option(
    "--by",
    type=click.Choice(["measure", "group"]),
    help="Measure by measure, or by group of causes.",
)
@store_and_packs
def compare(names: tuple[str, ...], by: str | None, store: str | None, pack: Packs) -> None:
    """NAMES side by side, or everybody: means with intervals, and who is ready."""
    from tui.training.words.progress_lines import compare_lines, spread_lines

    desk = open_desk(pack, store)
    people = standings(desk, names)
    say(spread_lines(people, desk.guide, by) if by else compare_lines(people))


@trainee.command("review")
@click.argument("name")
@click.argument("number", type=int, required=False)
@click.option("--all", "whole", is_flag=True, help="The whole review at once, without waiting.")
@store_and_packs
def review(name: str, number: int | None, whole: bool, store: str | None, pack: Packs) -> None:
    """Go through case NUMBER of NAME again, step by step; without NUMBER, list their cases."""
    from rules.problems import BadInput
    from tui.training.plain.lesson_lines import attempt_lines, review_lines

    desk = open_desk(pack, store)
    person = or_exit(lambda: desk.standing(name))
    hidden = person.under_way
    if number is None:
        say(attempt_lines(person.rows, desk.course, hidden) or ["No cases yet."])
        return

    def found() -> dict[str, object]:
        row = next((row for row in person.rows if row.id == number), None)
        if row is None:
            raise BadInput(f"{person.trainee.name} has no case {number}")
        if row.sitting in hidden:
            raise BadInput(f"case {number} belongs to an exam that is still open")
        document = desk.attempts.read(number).document
        if document is None:
            raise BadInput(f"case {number} is still open")
        return dict(document)

    titles = {key: cause.title for key, cause in desk.rules.causes.items()}
    say_in_blocks(review_lines(or_exit(found), titles), whole=whole)


@trainee.command("card")
@click.argument("name")
@card_options
@store_and_packs
def card(name: str, kind: Kind | None, output: Path | None, store: str | None, pack: Packs) -> None:
    """Write NAME's training record as a card. It is no qualification, and says so."""
    from diagnose.training.certificate import facts_of, training_card

    desk = open_desk(pack, store)
    person = or_exit(lambda: desk.standing(name))
    chosen = chosen_kind(kind, output)
    write_card(training_card(facts_of(desk, person, today())), chosen, output)


@trainee.command("export")
@click.argument("names", nargs=-1)
@output_option
@store_and_packs
def export(names: tuple[str, ...], output: Path | None, store: str | None, pack: Packs) -> None:
    """Every case of NAMES, or of everybody, as CSV."""
    from diagnose.training.export import export_csv

    desk = open_desk(pack, store)
    people = standings(desk, names, archived=True)
    write_or_print(export_csv(people, desk.pack), output)
