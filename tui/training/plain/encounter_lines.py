"""A training case as plain lines: who walks in, what is known, the score and the review."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.training.customers.guide import Guide
from diagnose.training.play.coach import GuessScore
from diagnose.training.play.encounter import Encounter
from diagnose.training.scoring.points import Score, ScoreMeasure
from diagnose.training.scoring.score_document import score_document
from diagnose.training.words.encounter_words import guess_said, spent_line
from diagnose.training.words.review_words import (
    adding_text,
    at_steps,
    guess_notes,
    mistake_lines,
    passed_word,
    score_text,
)
from diagnose.words.cause_words import NO_CAUSE, chances_text
from diagnose.words.event_words import event_text
from rules.rulebase import RuleBase
from tui.terminal.text import wrapped
from tui.training.plain.lesson_lines import step_lines


def customer_lines(encounter: Encounter) -> Iterator[str]:
    """Who walks in, with what, and what they say."""
    customer = encounter.customer
    yield "A customer walks in."
    for words in customer.words:
        yield from wrapped(f'"{words}"', "   ", "  ")
    yield from wrapped(customer.rider, "    ", "  ")
    yield from wrapped("; ".join(customer.bike) + ".", "    ", "  ")
    for line in customer.told_lines:
        yield from wrapped(line, "    ", "  They say unasked: ")


def notes_lines(encounter: Encounter) -> Iterator[str]:
    """Everything that is known and was done, oldest first."""
    for event in encounter.case.events:
        yield from wrapped(event_text(encounter.assessor.rules, event), "    ", "  ")
    yield f"  {spent_line(encounter)}."


def guess_lines(rules: RuleBase, scored: GuessScore) -> Iterator[str]:
    """The program's view beside a guess."""
    told = chances_text(rules, scored.leading) or NO_CAUSE
    yield from wrapped(told, "    ", "  The program holds likeliest: ")
    for line in guess_said(scored):
        yield from wrapped(line, "    ", "  ")


def score_lines(guide: Guide, result: Score, rules: RuleBase) -> Iterator[str]:
    """The score, with what each measure means and where it comes from."""
    titles = ", ".join(rules.causes[cause].title for cause in result.true_causes)
    yield from wrapped(titles, "    ", "What was wrong: ")
    if result.failed:
        yield from wrapped(result.failed, "    ", "FAILED: ")
    passed = passed_word(passed=result.passed, failed=bool(result.failed))
    parts = sum(item.points for item in result.measures)
    told = score_text(result.total, passed, guide.scoring.pass_mark)
    yield from wrapped(f"{told}. {adding_text(parts, result.hint_points, result.total)}")
    minutes = result.find("expected-cost")
    off = minutes.out_of - minutes.points
    took = f"choices that lost minutes took off {off:.0f} points"
    if not minutes.share:
        took = "left undone, it has no points for minutes"
    yield f"{result.minutes:.0f} min; {took}."
    for line in guess_notes(result.guessed, guide):
        yield from wrapped(line)
    for item in result.measures:
        where = f" ({at_steps(item.steps)})" if item.steps else ""
        yield from wrapped(f"{item.title}{where}", "         ", f"  {_points(item)}  ")


def expected_line(encounter: Encounter) -> str:
    """What the advised way was expected to cost when the case began."""
    return f"{encounter.expected_at_start:.0f} minutes were expected from the complaint on."


def meaning_lines(guide: Guide, result: Score) -> Iterator[str]:
    """What each measure means and where it comes from."""
    for item in result.measures:
        yield from wrapped(f"{item.title}: {item.meaning}", "    ", "  ")
        for source in item.sources:
            yield from wrapped(str(guide.sources[source]), "      ", "    Source: ")


def review_lines(encounter: Encounter) -> Iterator[str]:
    """The dearest mistakes, then every step: what was known, chosen, and better."""
    document = score_document(encounter)
    titles = {key: cause.title for key, cause in encounter.assessor.rules.causes.items()}
    for line in mistake_lines(document):
        yield from wrapped(line, "  ", "")
    for step in document["review"]:
        yield ""
        yield from step_lines(step, titles)


def _points(item: ScoreMeasure) -> str:
    return f"{item.points:4.1f}/{item.out_of:<4.0f}"
