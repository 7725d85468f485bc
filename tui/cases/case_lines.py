"""Kept cases as plain lines of text."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from diagnose.advice.workshop import Assessment
from diagnose.case.events import (
    Answered,
    Complained,
    Corrected,
    Declined,
    Event,
    Insisted,
    Noted,
    Rode,
)
from diagnose.records.cases.case_book import KeptCase, case_title
from diagnose.records.cases.case_lists import CaseRow, CaseRows
from diagnose.records.cases.fitting import fitted
from diagnose.records.cases.known import Assumption
from diagnose.records.store.times import ago
from diagnose.words.steps import answer_text, complaint_text, sentence
from rules.rulebase import RuleBase
from tui.plain.lines import ranking_lines
from tui.terminal.clock import day_of
from tui.terminal.columns import table
from tui.terminal.text import wrapped


def row_lines(found: CaseRows) -> Iterator[str]:
    """Cases, a line each."""
    if not found.rows:
        yield "No case fits."
        return
    yield from rows_table(found.rows)
    if found.total > len(found.rows):
        yield f"{len(found.rows)} of {found.total}; --limit shows more."


def rows_table(rows: Sequence[CaseRow]) -> Iterator[str]:
    """Cases under a head."""
    cells = [
        (
            str(row.id),
            row.changed_at.astimezone().date().isoformat(),
            row.bike or "-",
            row.outcome or row.state,
            row.cause or row.correction or "-",
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
    case = fitted(rules, kept.case)
    for said, event in zip(kept.folded.said, case.events, strict=True):
        day = said.at.astimezone().date().isoformat()
        rests = f" (assumed: {said.assumed.rests_on})" if said.assumed else ""
        yield from wrapped(f"{event_text(rules, event)}{rests}", "              ", f"  {day}  ")
    if journal:
        yield f"Journal, {kept.version} entries:"
        for number, (entry, at) in enumerate(kept.entries, 1):
            yield f"  {number:>3}  {at:%Y-%m-%d %H:%M:%S}  {entry.kind}"
    if assessment is not None:
        yield from ranking_lines(rules, case, assessment)


def earlier_text(rules: RuleBase, row: CaseRow, today: date) -> str:
    """A case in one sentence."""
    when = ago((today - day_of(row.changed_at)).days)
    return f"case {row.id}, {when}: {row.title}; {outcome_text(rules, row)}"


def outcome_text(rules: RuleBase, row: CaseRow) -> str:
    """How a case ended, with the cause or the correction that is known."""
    parts = [row.outcome or row.state]
    if row.cause is not None and row.cause in rules.causes:
        parts.append(rules.causes[row.cause].title)
    elif row.correction is not None and row.correction in rules.corrections:
        parts.append(rules.corrections[row.correction].title)
    return ", ".join(parts)


def assumption_parts(rules: RuleBase, item: Assumption) -> tuple[str, str]:
    """What is assumed; what it rests on and how old that is."""
    ask = sentence(rules.observations[item.answer.observation].ask)
    return f"{ask} {answer_text(rules, item.answer)}", f"{item.assumed.rests_on}; {ago(item.days)}"


def event_text(rules: RuleBase, event: Event) -> str:
    """What happened, in words."""
    match event:
        case Complained():
            return f"complaint: {complaint_text(rules, event)}"
        case Answered(observation=name):
            return f"{rules.observations[name].ask} {answer_text(rules, event)}"
        case Corrected(correction=name):
            return f"done: {rules.corrections[name].title}"
        case Declined(correction=name):
            return f"not done: {rules.corrections[name].title}"
        case Rode(report=report):
            text = f"ride after it: {report}"
        case Insisted(rule=rule):
            text = f"both answers stand ({rule})"
        case Noted(text=words):
            text = f"note: {words}"
    return text


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
        yield from rows_table(earlier) if earlier else ["  none"]
    yield "Cases with the same complaint:"
    yield from rows_table(similar) if similar else ["  none"]
    if proven:
        yield "Proven behind it so far:"
        for cause, number in proven[:5]:
            title = rules.causes[cause].title if cause in rules.causes else cause
            yield from wrapped(f"{title}: {number} case{'s' * (number != 1)}", "    ", "  ")
