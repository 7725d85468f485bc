"""An interview that is kept: what it starts from, what came before, and how it ends."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING

import click

from diagnose.advice.assessor import Assessor
from diagnose.advice.taking_along import goes_along
from diagnose.case.events import shared_start
from diagnose.case.writing import case_yaml, no_place_for
from diagnose.diagnosis import Diagnosis, MovedOn
from diagnose.records.bikes.bike_book import BikeBook
from diagnose.records.cases.case_book import CaseBook, KeptCase
from diagnose.records.cases.case_lists import CaseFilter, list_cases
from diagnose.records.cases.closing import close, weigh_closing
from diagnose.records.cases.fitting import unknown_to
from diagnose.records.cases.keeping import CaseKeeping
from diagnose.records.cases.known import Assumption, assumptions, starting_case
from diagnose.records.file_writing import write_text
from diagnose.words.case_words import assumed_lines, assumption_parts, closed_text, earlier_text
from diagnose.words.chances import ago, counted
from rules.given_paths import given_path
from rules.problems import BadInput
from rules.rulebase import RuleBase
from tui.cli.common import Packs, load_rules, or_exit, refuse
from tui.cli.storing import learned_from, opened_store, say
from tui.terminal.clock import today
from tui.terminal.text import wrapped

if TYPE_CHECKING:
    from diagnose.records.store.store import Store

Read = Callable[[str], str]


@dataclass(frozen=True, slots=True)
class Kept:
    """A diagnosis, and what keeps it."""

    diagnosis: Diagnosis
    keeping: CaseKeeping

    @classmethod
    def of(cls, assessor: Assessor, keeping: CaseKeeping) -> Kept:
        """A diagnosis of what `keeping` holds."""
        return cls(Diagnosis(assessor, keeping=keeping), keeping)


def recorded(
    bike: str | None,
    number: int | None,
    where: str | None,
    pack: Packs,
    *,
    learned: bool,
    read: Read,
) -> Kept:
    """The case to work on, after saying what it starts from. Exits on bad input."""
    if bike is not None and number is not None:
        refuse("a kept case has its bike already; give --bike or --case, not both")
    rules = load_rules(pack)
    store = or_exit(partial(_store, where, create=bike is None and number is None))
    taught = learned_from(store, rules) if learned else None
    if taught is not None and taught.is_any:
        rules = taught.rules
        also = " and of other shops" if taught.others else ""
        click.echo(
            f"Learned from {counted(taught.cases, 'proven case')} of this shop{also}; "
            "`badride learned` shows what moved."
        )
    assessor = or_exit(lambda: Assessor(rules))
    book = CaseBook(store, rules)
    uses = bool(taught and taught.is_any)
    if number is not None:
        kept = or_exit(lambda: book.read(number))
        closed = kept.folded.closed
        if closed is not None:
            refuse(
                f"case {kept.id} is closed ({closed.outcome}); "
                f"`badride cases reopen {kept.id}` opens it again"
            )
        say(resumed_lines(rules, kept))
        return Kept.of(assessor, CaseKeeping(book, kept=kept, learned=uses))
    if bike is None:
        return Kept.of(assessor, CaseKeeping(book, learned=uses))
    found = or_exit(lambda: BikeBook(store).read(bike))
    known = assumptions(rules, found, today())
    say(earlier_lines(rules, store, found.name))
    accepted = _ask_assumptions(rules, known, read)
    keeping = CaseKeeping(
        book,
        starting_case(rules, found, accepted),
        bike=found.name,
        assumed=[item.assumed for item in accepted],
        learned=uses,
    )
    return Kept.of(assessor, keeping)


def _store(where: str | None, *, create: bool) -> Store:
    try:
        return opened_store(where, create=create)
    except BadInput as problem:
        if not create:
            raise
        raise BadInput(f"{problem}; `badride ask --keep-nothing` does without a store") from None


def resumed_lines(rules: RuleBase, kept: KeptCase) -> Iterator[str]:
    """What a kept case already knows, and what of it was only assumed."""
    yield (
        f"Case {kept.id}"
        + (f" of {kept.bike}" if kept.bike else "")
        + (
            f", begun {ago((today() - kept.opened_at.astimezone().date()).days)}: "
            f"{len(kept.case.events)} things known."
        )
    )
    for text in assumed_lines(rules, kept):
        yield from wrapped(text, "  ", "  Assumed: ")
    for text in unknown_to(rules, kept.case):
        yield from wrapped(text, "  ", "  Kept as a note: ")


def earlier_lines(rules: RuleBase, store: Store, bike: str) -> Iterator[str]:
    """The latest cases of a bike and what fixed it."""
    found = or_exit(lambda: list_cases(store, CaseFilter(bike=bike, limit=3)))
    for row in found.rows:
        yield from wrapped(earlier_text(rules, row, today()), "  ", "Before: ")


def _ask_assumptions(rules: RuleBase, known: Sequence[Assumption], read: Read) -> list[Assumption]:
    """Show what the records answer; the person names what is no longer so."""
    if not known:
        return []
    click.echo("From the record, so it is not asked again:")
    for number, item in enumerate(known, 1):
        said, rests_on = assumption_parts(rules, item)
        say(wrapped(f"{said} ({rests_on})", "      ", f"  {number:>2}  "))
    while True:
        try:
            text = read("Numbers that are no longer so, or Enter> ").strip()
        except EOFError:
            return list(known)
        parts = text.replace(",", " ").split()
        if all(part.isdigit() and 1 <= int(part) <= len(known) for part in parts):
            gone = {int(part) for part in parts}
            return [item for number, item in enumerate(known, 1) if number not in gone]
        click.echo(f"Give numbers from 1 to {len(known)}, or only Enter.")


def finish(case: Kept, read: Read) -> bool:
    """Close a proven case; say how any other goes on. Raises `StoreProblem`.

    Returns False where something said is not in the store; it is offered to be written to a file.
    """
    diagnosis, keeping = case.diagnosis, case.keeping
    if diagnosis.waiting and not _kept_at_last(diagnosis, read):
        return False
    kept = keeping.kept
    if kept is None:
        click.echo("Nothing was kept: nothing was answered.")
        return True
    click.echo("")
    step = diagnosis.assessment.step.kind
    if step == "close":
        bike = BikeBook(keeping.book.store).read(kept.bike) if kept.bike else None
        closing = weigh_closing(diagnosis.rules, kept, bike=bike)
        if closing.verdict.outcome == "proven" and closing.cause is None:
            closing = replace(closing, cause=_ask_cause(diagnosis.rules, closing.candidates, read))
        kept = close(keeping.book, diagnosis.assessor, kept, closing)
        say(closing_lines(diagnosis.rules, kept))
        return True
    click.echo(f"Case {kept.id} is kept. `badride ask --case {kept.id}` goes on from here.")
    if goes_along(diagnosis.assessment):
        click.echo(f"The list as a file: badride card {kept.id} -o list.html (or .pdf, .md)")
    if step == "hand-over":
        click.echo(f"If others go on with it: badride cases close {kept.id} --handed-over")
    return True


def _kept_at_last(diagnosis: Diagnosis, read: Read) -> bool:
    """Try once more to keep what waits; otherwise offer a file for the whole case."""
    try:
        diagnosis.commit()
    except MovedOn:
        click.echo("Another terminal has moved this case on; what was said last is not in it.")
        return False
    except BadInput as problem:
        keeping = diagnosis.keeping
        assert keeping is not None
        missing = len(diagnosis.case.events) - shared_start(
            keeping.stored.events, diagnosis.case.events
        )
        _offer_file(diagnosis, problem, missing, read)
        return False
    return True


def _offer_file(diagnosis: Diagnosis, problem: BadInput, missing: int, read: Read) -> None:
    """Say how much is not in the store and why, and write the whole case to a file, if wanted."""
    say(wrapped(f"NOT RECORDED: {problem}. Not in the store: {missing} of what was said."))
    text, left_out = case_yaml(diagnosis.case)
    with suppress(EOFError):
        while name := read("File to write the case to, or Enter to leave it> ").strip():
            try:
                path = given_path(name)
                write_text(path, text)
            except BadInput as refused:
                say(wrapped(str(refused)))
            else:
                say(wrapped(f"Written to {path}. {no_place_for(left_out)}".strip()))
                return


def _ask_cause(rules: RuleBase, candidates: Sequence[str], read: Read) -> str | None:
    """Which of several causes the correction put right, where the person can tell."""
    if not candidates:
        return None
    click.echo("The correction is proven. Which of these was it?")
    for number, cause in enumerate(candidates, 1):
        say(wrapped(rules.causes[cause].title, "      ", f"  {number:>2}  "))
    while True:
        try:
            text = read("Number, or Enter where nobody can tell> ").strip()
        except EOFError:
            return None
        if not text:
            return None
        if text.isdigit() and 1 <= int(text) <= len(candidates):
            return candidates[int(text) - 1]
        click.echo(f"Give a number from 1 to {len(candidates)}, or only Enter.")


def closing_lines(rules: RuleBase, kept: KeptCase) -> Iterator[str]:
    """How a case was closed, and what it taught."""
    for text in closed_text(rules, kept):
        yield from wrapped(text)
    yield f"`badride card {kept.id}` writes the job card."
