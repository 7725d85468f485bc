"""Kept cases in words: how they ended or would end, what they rest on, what was assumed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date

from diagnose.case.events import Event
from diagnose.records.cases.case_book import KeptCase
from diagnose.records.cases.case_lists import CaseRow
from diagnose.records.cases.closing import Closing
from diagnose.records.cases.entries import Cured
from diagnose.records.cases.fitting import fitted
from diagnose.records.cases.folding import Said
from diagnose.records.cases.known import Assumption
from diagnose.records.cases.proof import Outcome
from diagnose.words.chances import ago
from diagnose.words.event_words import asked_text, event_text
from rules.rulebase import RuleBase

OUTCOME_WORDS: Mapping[Outcome, str] = {
    "proven": "proven by a ride without the complaint",
    "proven-together": (
        "proven by a ride without the complaint, after several settings were put right together"
    ),
    "improved": "better, not gone",
    "not-proven": "not proven",
    "handed-over": "handed to a specialist",
    "left-as-it-is": "left as it is: nothing was put right",
    "not-separable": "several things were changed at once, so which of them did it is open",
}
"""How a case ended, said in full."""


def fixed_by(rules: RuleBase, row: CaseRow) -> str:
    """The title of the cause that a case closed on, else of its correction; else empty."""
    if row.cause is not None and row.cause in rules.causes:
        return rules.causes[row.cause].title
    if row.correction is not None and row.correction in rules.corrections:
        return rules.corrections[row.correction].title
    return ""


def outcome_text(rules: RuleBase, row: CaseRow) -> str:
    """How a case ended, with the cause or the correction that is known."""
    return ", ".join(part for part in (row.outcome or row.state, fixed_by(rules, row)) if part)


def earlier_text(rules: RuleBase, row: CaseRow, today: date) -> str:
    """A kept case in one sentence: its day, its complaint and how it ended."""
    when = ago((today - row.changed_at.astimezone().date()).days)
    return f"case {row.id}, {when}: {row.title}; {outcome_text(rules, row)}"


def assumption_parts(rules: RuleBase, item: Assumption) -> tuple[str, str]:
    """(what is assumed, what it rests on and how old that is)."""
    return asked_text(rules, item.answer), f"{item.assumed.rests_on}; {ago(item.days)}"


def rests_on(said: Said) -> str:
    """What an event taken from the records rests on, in brackets; empty for one that was asked."""
    return "" if said.assumed is None else f" (assumed: {said.assumed.rests_on})"


def assumed_texts(said: Sequence[Said]) -> dict[Event, str]:
    """The text of `rests_on` for each event that was taken from the records."""
    return {item.event: rests_on(item) for item in said if item.assumed is not None}


def assumed_lines(rules: RuleBase, kept: KeptCase) -> Iterator[str]:
    """A line for each event of a kept case that was taken from the records and not asked."""
    events = fitted(rules, kept.case).events
    for said, event in zip(kept.folded.said, events, strict=True):
        if said.assumed is not None:
            yield f"{event_text(rules, event)} ({said.assumed.rests_on})"


def asks_cause(closing: Closing) -> bool:
    """Whether a person may be able to tell which of several causes the correction put right."""
    return (
        closing.verdict.outcome == "proven"
        and closing.cause is None
        and 1 < len(closing.candidates) <= 9
    )


def closing_title(kept: KeptCase, closing: Closing) -> str:
    """How the case would be closed now, as the heading of a question."""
    return f"Case {kept.id} closes as: {closing.verdict.outcome}"


def closing_text(rules: RuleBase, closing: Closing) -> Iterator[str]:
    """Lines that say why it would be closed as that, and what is taken to be the cause."""
    yield closing.verdict.why
    if closing.cause is not None:
        word = "Cause put right last" if closing.verdict.helped else "Cause"
        yield f"{word}: {rules.causes[closing.cause].title}."
    yield from also_lines(rules, closing.also)
    if closing.cause is None and asks_cause(closing):
        yield "The correction fits several causes. Which of them was it?"
    if closing.verdict.outcome != "proven":
        yield "Nothing is learned from it. Escape leaves the case open."


def also_lines(rules: RuleBase, also: Sequence[Cured]) -> Iterator[str]:
    """A line for each further correction that was proven, by its cause where that can be told."""
    for one in also:
        if one.cause is not None and one.cause in rules.causes:
            yield f"And: {rules.causes[one.cause].title}."
        elif one.correction in rules.corrections:
            yield f"And what this puts right: {rules.corrections[one.correction].title}."


def closed_text(rules: RuleBase, kept: KeptCase) -> Iterator[str]:
    """Lines that say how a case was closed and on which cause.

    Where several causes have the proven correction, the command that names one is given with ids.
    """
    closed = kept.folded.closed
    assert closed is not None
    yield f"Case {kept.id} closed as {closed.outcome}. {closed.why}"
    if closed.cause is not None and closed.cause in rules.causes:
        yield f"Cause: {rules.causes[closed.cause].title}."
    yield from also_lines(rules, closed.also)
    if (
        closed.cause is None
        and closed.outcome == "proven"
        and closed.correction in rules.corrections
    ):
        causes = [k for k, c in rules.causes.items() if c.correction == closed.correction]
        yield (
            "Several causes have this correction, so nothing is learned from it. If you know which "
            f"it was: badride cases reopen {kept.id}, then badride cases close {kept.id} --cause "
            f"{' or '.join(causes)}"
        )
