"""A training case as plain lines: who walks in, what is known, the score and the review."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.case.events import Answered, Complained, Corrected, Rode
from diagnose.training.customers.guide import Guide
from diagnose.training.habits.least import least_possible
from diagnose.training.play.coach import GuessScore
from diagnose.training.play.encounter import Encounter
from diagnose.training.scoring.points import Measure, Score
from diagnose.training.scoring.review import ReviewStep, review
from diagnose.words.answers import answer_text
from diagnose.words.chances import percent
from diagnose.words.events import complaint_text
from rules.rulebase import RuleBase
from tui.terminal.text import wrapped


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
    rules = encounter.workshop.rules
    for event in encounter.case.events:
        match event:
            case Complained():
                yield from wrapped(complaint_text(rules, event), "    ", "  Complaint: ")
            case Answered(observation=name):
                text = f"{rules.observations[name].ask} {answer_text(rules, event)}"
                yield from wrapped(text, "    ", "  ")
            case Corrected(correction=name):
                yield from wrapped(rules.corrections[name].title, "    ", "  Done: ")
            case Rode(report=report):
                yield f"  Ride: {report}"
    yield f"  {encounter.minutes:.0f} minutes spent so far."


def guess_lines(rules: RuleBase, scored: GuessScore) -> Iterator[str]:
    """The program's view beside a guess."""
    told = "; ".join(f"{rules.causes[c].title} {percent(p)}" for c, p in scored.leading)
    yield from wrapped(told or "no cause stands out", "    ", "  The program holds likeliest: ")
    yield f"  Your causes hold {percent(scored.share)} of what the best choice would."
    if scored.concordance is not None:
        share = percent(scored.concordance)
        yield f"  The result you expect has {share} of the likeliest's chance."


def score_lines(guide: Guide, result: Score, rules: RuleBase) -> Iterator[str]:
    """The score, with what each measure means and where it comes from."""
    titles = ", ".join(rules.causes[cause].title for cause in result.true_causes)
    yield from wrapped(titles, "    ", "What was wrong: ")
    if result.failed:
        yield from wrapped(result.failed, "    ", "FAILED: ")
    outcome = "passed" if result.passed else "not passed"
    yield f"Score: {result.total:.0f} of 100, {outcome} (from {guide.scoring.pass_mark:g})."
    hints = f", {result.hints} hints took off {result.hint_points:g}" if result.hints else ""
    yield (
        f"{result.minutes:.0f} minutes spent; expected cost {result.cost_ratio:.2f} times the "
        f"advised way's{hints}."
    )
    for item in result.measures:
        where = f" (steps {', '.join(map(str, item.steps))})" if item.steps else ""
        yield from wrapped(f"{item.title}{where}", "         ", f"  {_points(item)}  ")


def least_line(encounter: Encounter) -> str:
    """What the advised way and, where it can be searched, the best way were expected to cost."""
    advised = f"{encounter.expected_at_start:.0f} minutes were expected from the complaint on"
    least = least_possible(encounter)
    if least is None:
        return f"{advised}; the best way there is cannot be searched on so many causes."
    return f"{advised}; the best way there is comes to {least:.0f}."


def meaning_lines(guide: Guide, result: Score) -> Iterator[str]:
    """What each measure means and where it comes from."""
    for item in result.measures:
        yield from wrapped(f"{item.title}: {item.meaning}", "    ", "  ")
        for source in item.sources:
            yield from wrapped(str(guide.sources[source]), "      ", "    Source: ")


def review_lines(encounter: Encounter) -> Iterator[str]:
    """Every step: what was known, what was chosen, and what would have been better."""
    for step in review(encounter):
        yield from review_step_lines(encounter.workshop.rules, step)


def review_step_lines(rules: RuleBase, step: ReviewStep) -> Iterator[str]:
    """One step gone through again."""
    result = f" -> {step.result}" if step.result else ""
    yield from wrapped(f"{step.did}{result}", "    ", f"{step.number:2}. ")
    known = "; ".join(f"{rules.causes[c].title} {percent(p)}" for c, p in step.leading)
    yield from wrapped(known or "nothing", "      ", "    Then likeliest: ")
    for fault in step.faults:
        yield from wrapped(fault.text, "      ", "    - ")
    if step.better:
        yield from wrapped(step.better, "      ", "    ")
    elif not step.faults:
        yield "    As good as anything here."


def _points(item: Measure) -> str:
    return f"{item.points:4.1f}/{item.out_of:<4g}"
