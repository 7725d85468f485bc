"""`cases`: kept cases: list, look, close, open again, compare."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from tui.cli.cases.case_common import assess_kept, bike_of, read_case
from tui.cli.common import Packs, load_rules, or_exit, refuse, run_alone
from tui.cli.storing import learned_from, open_or_exit, say, store_and_packs

if TYPE_CHECKING:
    from diagnose.case.events import RideReport
    from rules.language.schema import Correction
    from rules.rulebase import RuleBase

_number = click.argument("number", type=int)
OUTCOMES = (
    "proven", "proven-together", "improved", "not-proven", "handed-over", "not-separable",
    "left-as-it-is",
)  # fmt: skip


@click.group(invoke_without_command=True)
@click.pass_context
def cases(context: click.Context) -> None:
    """Cases you keep; alone, the list of them.

    `badride ask --bike NAME` begins one, `ask --case N` goes on with one.
    """
    if context.invoked_subcommand is None:
        run_alone(context, list_cases)


@cases.command("list")
@click.argument("text", nargs=-1)
@click.option("--bike", help="Only of this bike.")
@click.option("--open", "state", flag_value="open", help="Only open ones.")
@click.option("--closed", "state", flag_value="closed", help="Only closed ones.")
@click.option("--outcome", type=click.Choice(OUTCOMES), help="Only closed as this.")
@click.option("--complaint", metavar="ID", help="Only with this complaint (`badride list`).")
@click.option("--limit", type=click.IntRange(1, 10_000), default=20, show_default=True)
@store_and_packs
def list_cases(
    text: tuple[str, ...],
    bike: str | None,
    state: str | None,
    outcome: str | None,
    complaint: str | None,
    limit: int,
    store: str | None,
    pack: Packs,
) -> None:
    """Cases that hold every word of TEXT, latest change first."""
    from diagnose.records.cases import case_lists
    from tui.cases.case_lines import row_lines

    rules = load_rules(pack)
    if complaint is not None:
        from diagnose.case.events import read_complaint

        or_exit(lambda: read_complaint(rules, complaint))
    wanted = case_lists.CaseFilter(bike, state, outcome, complaint, " ".join(text), limit)
    kept = open_or_exit(store)
    say(row_lines(rules, or_exit(lambda: case_lists.list_cases(kept, wanted))))


@cases.command()
@_number
@click.option("--journal", is_flag=True, help="The entries of its journal too.")
@store_and_packs
def show(number: int, journal: bool, store: str | None, pack: Packs) -> None:
    """A case: what was said and done, and the ranking."""
    from tui.cases.case_lines import case_lines

    rules, book, kept = read_case(number, store, pack)
    _, assessment = assess_kept(book, kept)
    say(case_lines(rules, kept, assessment, journal=journal))


@cases.command()
@_number
@click.option(
    "--cause", metavar="ID", help="Which cause it was, where the correction fits several."
)
@click.option("--handed-over", is_flag=True, help="It goes to a specialist.")
@store_and_packs
def close(
    number: int, cause: str | None, handed_over: bool, store: str | None, pack: Packs
) -> None:
    """Close a case as its rides say: proven only by one change and a ride without the complaint."""
    from diagnose.advice.assessor import Assessor
    from diagnose.records.cases.closing import close as close_case
    from diagnose.records.cases.closing import weigh_closing
    from tui.cli.cases.kept_interview import closing_lines

    rules, book, kept = read_case(number, store, pack)
    bike = bike_of(book, kept)
    closing = or_exit(
        lambda: weigh_closing(rules, kept, bike=bike, handed_over=handed_over, cause=cause)
    )
    assessor = or_exit(lambda: Assessor(rules))
    say(closing_lines(rules, or_exit(lambda: close_case(book, assessor, kept, closing))))


@cases.command()
@_number
@store_and_packs
def reopen(number: int, store: str | None, pack: Packs) -> None:
    """Open a closed case again; what it taught is unlearned."""
    from diagnose.records.cases.closing import reopen as reopen_case

    _, book, kept = read_case(number, store, pack)
    or_exit(lambda: reopen_case(book, kept))
    click.echo(f"Case {number} is open. `badride ask --case {number}` goes on with it.")


@cases.command()
@_number
@click.argument("text")
@store_and_packs
def note(number: int, text: str, store: str | None, pack: Packs) -> None:
    """Add a note to an open case."""
    from diagnose.records.bikes.bike_input import note as read_note

    words = or_exit(lambda: read_note(text))
    _, book, kept = read_case(number, store, pack)
    or_exit(lambda: book.note(kept.id, words))
    click.echo("Noted.")


@cases.command()
@_number
@click.argument("correction")
@store_and_packs
def did(number: int, correction: str, store: str | None, pack: Packs) -> None:
    """Add that a CORRECTION was carried out, whoever thought of it. A ride has to prove it."""
    from diagnose.advice.assessor import Assessor
    from diagnose.case.events import Corrected
    from diagnose.diagnosis import Diagnosis
    from diagnose.records.cases.keeping import CaseKeeping
    from diagnose.words.step_words import caution_texts
    from tui.terminal.text import wrapped

    rules, book, kept = read_case(number, store, pack)
    entry = _correction(rules, correction)
    taught = learned_from(book.store, rules)
    assessor = or_exit(lambda: Assessor(taught.rules))
    keeping = CaseKeeping(book, kept=kept, learned=taught.is_any)
    diagnosis = Diagnosis(assessor, keeping=keeping)
    diagnosis.add(Corrected(correction))
    or_exit(diagnosis.commit)
    say(wrapped(f"Kept: {entry.title}. Before the ride:"))
    for text in caution_texts(rules, dict.fromkeys((*entry.cautions, *rules.policy.ride_cautions))):
        say(wrapped(text, "  ", "  CAUTION: "))
    say(wrapped(f"Proof: {entry.proof} Then `badride cases ride {number} REPORT`."))


def _correction(rules: RuleBase, name: str) -> Correction:
    from rules.yaml_source import suggest

    if name not in rules.corrections:
        refuse(f"{name!r} is not a correction{suggest(name, list(rules.corrections))}")
    return rules.corrections[name]


@cases.command()
@_number
@click.argument("report", type=click.Choice(["gone", "better", "same", "worse"]))
@click.option("--about", metavar="COMPLAINT", help="Which complaint, where there are several.")
@store_and_packs
def ride(
    number: int, report: RideReport, about: str | None, store: str | None, pack: Packs
) -> None:
    """Add how a complaint was on the confirming ride: gone, better, same or worse."""
    from diagnose.case.events import standing
    from rules.yaml_source import suggest

    _, book, kept = read_case(number, store, pack)
    now = standing(kept.case)
    told = [complaint.key for complaint in now.complaints]
    if about is not None and about not in told:
        hint = suggest(about, told)
        refuse(f"{about!r} is not a complaint of the case{hint}; one of {', '.join(told)}")
    named = next((c for c in now.complaints if c.key == about), now.asks_about)
    rode = now.told(report, named)
    kept = or_exit(lambda: book.record(kept, kept.case.with_event(rode)))
    if due := standing(kept.case).due:
        click.echo(f"Kept. Of the same ride: how is {due[0].key}? (--about {due[0].key})")
        return
    click.echo(f"Kept. `badride cases close {number}` closes it as the rides say.")


@cases.command()
@_number
@store_and_packs
def compare(number: int, store: str | None, pack: Packs) -> None:
    """Earlier cases of the same bike, and cases of others with the same complaint."""
    from tui.cases.case_comparing import compare as compare_case
    from tui.cases.case_lines import compare_lines

    rules, book, kept = read_case(number, store, pack)
    found = or_exit(lambda: compare_case(book.store, kept))
    say(compare_lines(rules, kept, found.earlier, found.similar, found.proven))
