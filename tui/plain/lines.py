"""An assessment as plain lines of text: no boxes, no colour, fit for a screen reader."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.advice.workshop import Assessment
from diagnose.case.events import Case, machine_traits, standing
from diagnose.inference.posterior import RankedCause
from diagnose.words.assessment_document import most_telling
from diagnose.words.chances import percent
from diagnose.words.steps import (
    StepText,
    caution_texts,
    complaint_text,
    evidence_text,
    pack_text,
    source_text,
    step_pack_text,
    step_text,
)
from rules.rulebase import RuleBase
from tui.terminal.text import wrapped

KIND_WORDS = {
    "complain": "Complaint",
    "ask": "Ask",
    "measure": "Measure",
    "inspect": "Look",
    "ride-test": "Ride and feel",
    "correct": "Put right",
    "confirm": "Ride to prove it",
    "check-again": "Check again",
    "hand-over": "Hand over",
    "close": "Done",
}
_SHOWN_CAUSES = 5
_SHOWN_REASONS = 4
_WORTH_SHOWING = 0.01


def machine_line(rules: RuleBase, case: Case) -> str:
    """The machine in one line, saying what is only assumed."""
    parts = []
    for trait, option in machine_traits(rules, case).items():
        assumed = "" if trait in case.machine else " (assumed)"
        entry = rules.traits[trait]
        parts.append(f"{entry.title.lower()}: {entry.options[option].lower()}{assumed}")
    return "; ".join(parts)


def step_lines(words: StepText) -> Iterator[str]:
    """A step: heading, cautions, tools, instructions, note. The answers have the bare numbers."""
    yield from wrapped(words.heading)
    for caution in words.cautions:
        yield from wrapped(caution, "  ", "  CAUTION: ")
    if words.tools:
        yield from wrapped(", ".join(words.tools), "  ", "  Tools: ")
    for number, line in enumerate(words.how, 1):
        label = f"Step {number}: " if len(words.how) > 1 else "How: "
        yield from wrapped(line, "    ", f"  {label}")
    if words.note:
        yield from wrapped(words.note, "  ", "  ")


def leading_causes(assessment: Assessment) -> list[RankedCause]:
    """The first few causes that still matter."""
    return [c for c in assessment.ranking.causes if c.relevant and not c.corrected][:3]


def standing_line(rules: RuleBase, assessment: Assessment) -> str:
    """The leading causes in one line."""
    leading = leading_causes(assessment)
    parts = [f"{rules.causes[c.cause].title} {percent(c.probability)}" for c in leading]
    return "So far: " + "; ".join(parts) + "."


def ranking_lines(rules: RuleBase, case: Case, assessment: Assessment) -> Iterator[str]:
    """Ranked causes with reasons, what is known against riding, and the corrections in order."""
    findings = assessment.belief.findings
    for raised in findings.do_not_ride:
        yield from wrapped(raised.text, "  ", "DO NOT RIDE: ")
    for text in caution_texts(rules, assessment.cautions):
        yield from wrapped(text, "  ", "CAUTION: ")
    for contradiction in findings.contradictions:
        yield from wrapped(contradiction.text, "  ", "CHECK AGAIN: ")
    yield "Most likely causes:"
    shown = [
        item
        for item in assessment.ranking.causes
        if item.relevant and item.probability >= _WORTH_SHOWING
    ]
    for number, item in enumerate(shown[:_SHOWN_CAUSES], 1):
        yield from cause_lines(rules, case, item, f"{number}. ")
    nothing = assessment.ranking.nothing_listed
    yield f"  Nothing listed here explains it: {percent(nothing)}"
    yield from _plan_lines(rules, assessment)


def cause_lines(rules: RuleBase, case: Case, item: RankedCause, label: str = "") -> Iterator[str]:
    """A cause, its probability, and the facts for and against it."""
    entry = rules.causes[item.cause]
    done = ", put right" if item.corrected else ""
    yield from wrapped(f"{entry.title}: {percent(item.probability)}{done}", "     ", f"  {label}")
    for word, weights in (("for", item.supporting), ("against", item.opposing)):
        for weight in [w for w in weights if abs(w.decibans) >= 0.5][:_SHOWN_REASONS]:
            text = evidence_text(rules, weight.evidence, case)
            yield from wrapped(f"{word} ({weight.decibans:+.0f} db): {text}", "       ", "     ")


def _plan_lines(rules: RuleBase, assessment: Assessment) -> Iterator[str]:
    plan = assessment.plan
    if not plan.corrections:
        return
    yield "Corrections, in the order worth trying:"
    rows = zip(plan.corrections, plan.chances, plan.checks, strict=True)
    shown = [row for row in rows if row[1] >= 0.02]
    cautions: dict[str, None] = {}
    for number, (name, chance, check) in enumerate(shown[:_SHOWN_CAUSES], 1):
        entry = rules.corrections[name]
        work = f"{entry.title}: {plan_words(entry.minutes, chance, check)}, {entry.who}"
        yield from wrapped(work, "     ", f"  {number}. ")
        yield from wrapped(entry.proof, "     ", "     Proof: ")
        cautions.update(dict.fromkeys(entry.cautions))
    for caution in caution_texts(rules, cautions):
        yield from wrapped(caution, "  ", "  CAUTION: ")


def plan_words(minutes: float, chance: float, check: float | None) -> str:
    """`6 % needed, look 2 min, work 120 min`: trying a suspect costs its check, and the work only
    when that finds it."""
    look = f", look {check:g} min" if check is not None else ""
    return f"{percent(chance)} needed{look}, work {minutes:g} min"


def next_step_lines(rules: RuleBase, case: Case, assessment: Assessment) -> Iterator[str]:
    """The next step with its reason."""
    step = assessment.step
    words = step_text(rules, case, step, assessment.cautions)
    yield f"Next step ({step.kind}, about {step.minutes:g} min):"
    yield from step_lines(words)
    if step.why != words.note:
        yield from wrapped(f"{step.why}", "  ", "  Why now: ")


def why_lines(rules: RuleBase, case: Case, assessment: Assessment) -> Iterator[str]:
    """Why this step, and why the leading causes lead, with sources."""
    step = assessment.step
    constraint = f"{step.constraint.capitalize()}: " if step.constraint else ""
    yield from wrapped(constraint + step.why, "  ", "Why this now: ")
    yield from _pack_lines(step_pack_text(rules, step), "  ")
    leading = leading_causes(assessment)
    sources: dict[str, None] = dict.fromkeys(step_text(rules, case, step).sources)
    for item in leading:
        yield from cause_lines(rules, case, item)
        yield from _pack_lines(pack_text(rules, "causes", item.cause), "     ")
        entry = rules.causes[item.cause]
        sources.update(dict.fromkeys([*entry.source, *entry.shows_source]))
    telling = most_telling(assessment.options)
    if telling is not None and telling.chance_first_changes > 0:
        ask = rules.observations[telling.observation].ask
        yield from wrapped(
            f"{ask} ({percent(telling.chance_first_changes)} that another cause comes first)",
            "  ",
            "Most likely to change the order: ",
        )
    for source in sources:
        yield from wrapped(source_text(rules, source), "  ", "Source: ")


def _pack_lines(pack: str, indent: str) -> Iterator[str]:
    if pack:
        yield from wrapped(pack, f"{indent}  ", f"{indent}Pack: ")


def summary_lines(rules: RuleBase, case: Case, assessment: Assessment) -> Iterator[str]:
    """The case as it stands, for the end of an interview."""
    now = standing(case)
    named = [complaint_text(rules, complained) for complained in now.complaints]
    yield from wrapped(", ".join(named) or "none given", "  ", "Complaint: ")
    yield from wrapped(machine_line(rules, case), "  ", "Machine: ")
    for name in now.corrections:
        yield from wrapped(rules.corrections[name].title, "  ", "Done: ")
    for ride in now.rides:
        yield f"Ride after it: {ride.report}"
    if now.complaints:
        yield from ranking_lines(rules, case, assessment)
