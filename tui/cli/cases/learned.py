"""`learned`: what the shop's own proven cases have moved, and those of other shops."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from tui.cli.common import Packs, load_rules, or_exit
from tui.cli.person_path import PersonPath
from tui.cli.storing import open_or_exit, opened_store, say, store_and_packs
from tui.cli.writing import file_argument, write_or_print

if TYPE_CHECKING:
    from diagnose.records.store.store import Store
    from rules.rulebase import RuleBase
    from tui.cli.cases.learned_lines import Taught

_numbers = click.argument("numbers", metavar="CASE...", type=int, nargs=-1, required=True)


@click.group(invoke_without_command=True)
@click.option("--off", "action", flag_value="off", help="Stop using what was learned.")
@click.option("--on", "action", flag_value="on", help="Use it again.")
@click.option("--reset", "action", flag_value="reset", help="Count only cases closed from now on.")
@click.option("--unreset", "action", flag_value="unreset", help="Count all cases again.")
@click.option("--relearn", is_flag=True, help="Go through all proven cases anew.")
@click.option("--figures", is_flag=True, help="The numbers that moved, and past rankings.")
@click.option("--cases", is_flag=True, help="The cases it rests on, and what spoke for each.")
@click.option("--all", "every", is_flag=True, help="Figures, with what hardly moved and scores.")
@store_and_packs
@click.pass_context
def learned(
    context: click.Context,
    action: str | None,
    relearn: bool,
    figures: bool,
    cases: bool,
    every: bool,
    store: str | None,
    pack: Packs,
) -> None:
    """What proven cases taught, in plain words; --figures has the numbers.

    A case teaches when something measured or seen spoke for its cause and a ride proved it. Nothing
    is deleted by --off, --reset or `undo`.
    """
    if context.invoked_subcommand is not None:
        return
    from diagnose.records.learning import lessons
    from diagnose.records.store.store_problems import NoStore
    from tui.cli.cases.learned_lines import case_lines, learned_lines

    rules = load_rules(pack)
    if action is None and not relearn:
        try:
            opened_store(store)
        except NoStore:
            click.echo("Nothing was learned yet: no case is kept. `badride ask` begins one.")
            return
    kept = open_or_exit(store)
    actions = {
        "off": lambda: lessons.switch_learning(kept, False),
        "on": lambda: lessons.switch_learning(kept, True),
        "reset": lambda: lessons.reset_learning(kept),
        "unreset": lambda: lessons.unreset_learning(kept),
    }
    if action is not None:
        or_exit(actions[action])
    if relearn:
        or_exit(lambda: _relearn(kept, rules))
    taught = or_exit(lambda: _taught(kept, rules))
    if cases:
        say(case_lines(rules, taught.lessons))
        return
    say(learned_lines(rules, taught, figures=figures or every, every=every))


def _taught(store: Store, rules: RuleBase) -> Taught:
    from diagnose.records.learning.calibration import calibrate
    from diagnose.records.learning.learned import learn_counted
    from diagnose.records.learning.lessons import learning_state, read_lessons
    from diagnose.records.learning.other_shops import other_shops
    from diagnose.records.learning.tally import add_up
    from tui.cli.cases.learned_lines import Taught

    state = learning_state(store)
    found = read_lessons(store, rules.info.id, state.since, every=True)
    others = other_shops(store, rules.info.id)
    teaching = [lesson for lesson in found if lesson.teaches]
    moved = learn_counted(rules, add_up(teaching), others=others)
    return Taught(state, found, others, moved, calibrate(teaching))


def _relearn(store: Store, rules: RuleBase) -> None:
    from diagnose.advice.assessor import Assessor
    from diagnose.records.cases.case_book import CaseBook
    from diagnose.records.cases.closing import relearn
    from diagnose.words.chances import counted

    number = relearn(CaseBook(store, rules), Assessor(rules))
    click.echo(f"Learned anew from {counted(number, 'proven case')}.")


def _leave_out(numbers: tuple[int, ...], store: str | None, pack: Packs, *, out: bool) -> None:
    from diagnose.records.learning.lessons import leave_out
    from diagnose.records.learning.tally import keep_tally

    rules = load_rules(pack)
    kept = open_or_exit(store)
    or_exit(lambda: leave_out(kept, rules.info.id, numbers, out=out))
    keep_tally(kept, rules.info.id)
    done = "left out; `badride learned redo` takes it in again" if out else "taken in again"
    for number in numbers:
        click.echo(f"Case {number}: {done}.")


@learned.command()
@_numbers
@store_and_packs
def undo(numbers: tuple[int, ...], store: str | None, pack: Packs) -> None:
    """Leave a case out of what is learned; the case itself stays as it is."""
    _leave_out(numbers, store, pack, out=True)


@learned.command()
@_numbers
@store_and_packs
def redo(numbers: tuple[int, ...], store: str | None, pack: Packs) -> None:
    """Take a case in again that was left out."""
    _leave_out(numbers, store, pack, out=False)


@learned.command("export")
@file_argument
@click.option("--shop", default="another shop", show_default=True, help="What it is called there.")
@store_and_packs
def export_counts(file: Path, shop: str, store: str | None, pack: Packs) -> None:
    """Write what this shop learned for another: counts only, no customers and no bikes."""
    from diagnose.records.learning.other_shops import write_counts

    rules = load_rules(pack)
    kept = open_or_exit(store)
    write_or_print(or_exit(lambda: write_counts(kept, rules, shop)), file)


@learned.command("import")
@click.argument("file", type=PersonPath())
@click.option("--name", help="What the other shop is called here.")
@click.option("--weight", type=float, help="How much a case of theirs counts, 0 to 1; else 0.5.")
@store_and_packs
def import_counts(
    file: Path, name: str | None, weight: float | None, store: str | None, pack: Packs
) -> None:
    """Count another shop's FILE too, in place of what that shop gave before; it stays apart."""
    from diagnose.records.learning.other_shops import (
        USUAL_WEIGHT,
        keep_counts,
        read_counts,
        unknown_in,
    )
    from diagnose.words.chances import counted

    rules = load_rules(pack)
    counts = or_exit(lambda: read_counts(rules, file))
    kept = open_or_exit(store, create=True)
    much = USUAL_WEIGHT if weight is None else weight
    shop = or_exit(lambda: keep_counts(kept, name or counts.shop, counts, much))
    told = counted(counts.cases, "case")
    click.echo(f"{shop.name}: {told}, each counted as {shop.weight:g} of one of ours.")
    if unknown := unknown_in(rules, counts):
        click.echo(f"Not in this rule base, and not used: {', '.join(unknown)}.")


@learned.command()
@click.argument("name")
@click.argument("weight", type=float)
@store_and_packs
def weigh(name: str, weight: float, store: str | None, pack: Packs) -> None:
    """Let each case of another shop count as WEIGHT of one of ours, 0 to 1."""
    from diagnose.records.learning.other_shops import weigh as weigh_shop

    del pack
    kept = open_or_exit(store)
    shop = or_exit(lambda: weigh_shop(kept, name, weight))
    click.echo(f"{shop.name}: each case counts as {shop.weight:g} of one of ours.")


@learned.command()
@click.argument("name")
@store_and_packs
def remove(name: str, store: str | None, pack: Packs) -> None:
    """Forget what another shop's cases taught; our own stay."""
    from diagnose.records.learning.other_shops import remove as remove_shop

    del pack
    kept = open_or_exit(store)
    shop = or_exit(lambda: remove_shop(kept, name))
    click.echo(f"{shop.name} is not counted any more.")
