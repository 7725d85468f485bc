"""`cases`: kept cases: list, look, close, open again, compare."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from tui.cli.cases.case_common import assess_kept, bike_of, read_case
from tui.cli.common import Packs, folder_stack, load_rules, or_exit, refuse, run_alone
from tui.cli.person_path import PersonPath
from tui.cli.storing import learned_from, open_or_exit, say, store_and_packs
from tui.terminal.text import wrapped

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
@click.option("--customer", help="Whose bike it is.")
@click.option("--bike", help="Which bike was brought in, such as its colour and number.")
@click.option("--technician", help="Who worked on it.")
@click.option("--parts", help="Parts used.")
@click.option("--time", help="Time taken, such as '45 min'.")
@click.option("--price", help="Price, in the words that are to stand on the card.")
@store_and_packs
def fill(number: int, store: str | None, pack: Packs, **given: str | None) -> None:
    """Fill in what the job card says besides the work; '' takes one out, alone it shows all.

    An open or a closed case takes it. `cases note` adds a note to an open one.
    """
    from diagnose.records.cases.filling_in import DETAILS, filled_in

    _, book, kept = read_case(number, store, pack)
    said = {field: text for field, text in given.items() if text is not None}
    details = or_exit(lambda: filled_in(kept.folded.details, said))
    or_exit(lambda: book.fill_in(kept, details))
    told = [f"{DETAILS[field]}: {text}" for field in DETAILS if (text := getattr(details, field))]
    say(told or [f"Nothing is filled in: `badride cases fill {number} --customer NAME` begins."])


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


@cases.command("keep-as-example")
@_number
@click.argument("folder", type=PersonPath(file_okay=False))
@click.option("--cause", metavar="ID", help="What was behind it, where the closing does not say.")
@click.option("--title", help="Else what the rider complained of.")
@click.option("--story", help="What happened, without names; else made of what was found.")
@click.option("--aside", is_flag=True, help="Keep it to judge strengths by, not to tune them.")
@store_and_packs
def keep_as_example(
    number: int,
    folder: Path,
    cause: str | None,
    title: str | None,
    story: str | None,
    aside: bool,
    store: str | None,
    pack: Packs,
) -> None:
    """Make a closed case a worked case of the pack in FOLDER, in its worked_cases/.

    It holds what was found before the work, and what was behind it. The bike's name, the rider's
    words and notes stay out. `badride rules test FOLDER` works it; `badride rules undo FOLDER`
    takes it out again.
    """
    from diagnose.authoring.adding.kept_example import example_of
    from diagnose.authoring.adding.pack_edits import edited, tried, write
    from diagnose.authoring.trials.trial import rank
    from diagnose.words.chances import percent

    stack = folder_stack(pack, folder)
    rules, _, kept = read_case(number, store, stack)
    made = or_exit(
        lambda: example_of(rules, kept, cause=cause, title=title, story=story, aside=aside)
    )
    if (folder / made.file).exists():
        refuse(f"{folder / made.file} is there already; nothing was written")
    texts = or_exit(lambda: edited(folder, [made]))
    with tried(folder, texts) as copy:
        (decision,) = or_exit(lambda: rank((*stack[:-1], copy), [copy / made.file]))
    or_exit(lambda: write(folder, str(made.value["title"]), texts))
    click.echo(f"{folder / made.file} is written. Read it over: no names belong in it.")
    for key in dict.fromkeys((*decision.leading, *decision.true)):
        true = " (true)" if key in decision.true else ""
        chance = percent(decision.chances.get(key, 0.0))
        say(wrapped(f"{rules.causes[key].title}{true}: {chance}", "    ", "  "))


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
