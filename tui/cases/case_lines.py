"""Kept cases as plain lines of text."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from diagnose.advice.assessor import Assessment
from diagnose.records.cases.case_book import KeptCase
from diagnose.records.cases.case_lists import CaseRow, CaseRows
from diagnose.records.cases.case_title import case_title
from diagnose.records.cases.fitting import fitted
from diagnose.words.case_words import also_lines, fixed_by, rests_on
from diagnose.words.chances import counted
from diagnose.words.event_words import event_text
from rules.rulebase import RuleBase
from tui.plain.lines import ranking_lines
from tui.terminal.columns import table
from tui.terminal.text import wrapped


def row_lines(rules: RuleBase, found: CaseRows) -> Iterator[str]:
    """A line for each case found, or that there is none."""
    if not found.rows:
        yield "No case fits."
        return
    yield from rows_table(rules, found.rows)
    if found.total > len(found.rows):
        yield f"{len(found.rows)} of {found.total}; --limit shows more."


def rows_table(rules: RuleBase, rows: Sequence[CaseRow]) -> Iterator[str]:
    """Cases as a table with a head."""
    cells = [
        (
            str(row.id),
            row.changed_at.astimezone().date().isoformat(),
            row.bike or "-",
            row.outcome or row.state,
            fixed_by(rules, row) or "-",
            row.title,
        )
        for row in rows
    ]
    yield from table(cells, ("Case", "Changed", "Bike", "State", "Cause", "Complaint"))


def case_lines(
    rules: RuleBase, kept: KeptCase, assessment: Assessment | None, *, journal: bool
) -> Iterator[str]:
    """A kept case: what was said and done, and what is made of it."""
    closed = kept.folded.closed
    state = f"closed as {closed.outcome}" if closed else "open"
    yield f"Case {kept.id}, {state}" + (f", {kept.bike}" if kept.bike else "")
    if closed:
        yield from wrapped(closed.why, "  ", "  ")
        if closed.cause and closed.cause in rules.causes:
            yield from wrapped(rules.causes[closed.cause].title, "  ", "  Cause: ")
        for line in also_lines(rules, closed.also):
            yield from wrapped(line, "  ", "  ")
    case = fitted(rules, kept.case)
    for said, event in zip(kept.folded.said, case.events, strict=True):
        day = said.at.astimezone().date().isoformat()
        yield from wrapped(
            f"{event_text(rules, event)}{rests_on(said)}", "              ", f"  {day}  "
        )
    if journal:
        yield f"Journal, {kept.version} entries:"
        for number, (entry, at) in enumerate(kept.entries, 1):
            yield f"  {number:>3}  {at:%Y-%m-%d %H:%M:%S}  {entry.kind}"
    if assessment is not None:
        yield from ranking_lines(rules, case, assessment)


def compare_lines(
    rules: RuleBase,
    kept: KeptCase,
    earlier: Sequence[CaseRow],
    similar: Sequence[CaseRow],
    proven: Sequence[tuple[str, int]],
) -> Iterator[str]:
    """A case beside earlier ones of its bike and like ones of other bikes."""
    yield f"Case {kept.id}: {case_title(rules, kept.case)}"
    if kept.bike:
        yield f"Earlier cases of {kept.bike}:"
        yield from rows_table(rules, earlier) if earlier else ["  none"]
    yield "Cases with the same complaint:"
    yield from rows_table(rules, similar) if similar else ["  none"]
    if proven:
        yield "Proven behind it so far:"
        for cause, number in proven[:5]:
            title = rules.causes[cause].title if cause in rules.causes else cause
            yield from wrapped(f"{title}: {counted(number, 'case')}", "    ", "  ")
