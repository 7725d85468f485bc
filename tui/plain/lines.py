"""An assessment as plain lines of text, without boxes or colour, fit for a screen reader."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence

from diagnose.advice.assessor import Assessment
from diagnose.case.events import Case, Event, Standing, standing
from diagnose.inference.posterior import RankedCause
from diagnose.inference.shifts import Shift
from diagnose.records.cases.case_title import complaint_title
from diagnose.words.assessment_document import most_telling
from diagnose.words.ban_words import ban_texts
from diagnose.words.bike_words import bike_in_full
from diagnose.words.cause_words import (
    cause_line,
    causes_in_order,
    leading_causes,
    nothing_text,
    told_lines,
)
from diagnose.words.chances import counted, percent
from diagnose.words.event_words import complaints_line
from diagnose.words.evidence_words import evidence_text, for_and_against, strength_text
from diagnose.words.sources import pack_text, source_lines
from diagnose.words.step_words import (
    StepText,
    caution_texts,
    plan_text,
    step_label,
    step_pack_text,
    step_text,
    why_text,
)
from diagnose.words.who_words import needs_text
from rules.rulebase import RuleBase
from tui.terminal.text import wrapped

_SHOWN_CAUSES = 5
_SHOWN_REASONS = 4
_WORTH_SHOWING = 0.01
_UNLIKELY = 0.2


def step_lines(words: StepText, before: str = "") -> Iterator[str]:
    """A step: heading, cautions, tools, instructions, note. Only the answers are bare numbers.
    `before` stands for cautions that were read at a step before."""
    yield from wrapped(words.heading)
    yield from caution_lines(words)
    if before:
        yield f"  {before}"
    if words.picture:
        yield "  drawing: what the drawing of it shows"
    if words.tools:
        yield from wrapped(", ".join(words.tools), "  ", "  Tools: ")
    for number, line in enumerate(words.how, 1):
        label = f"Step {number}: " if len(words.how) > 1 else "How: "
        yield from wrapped(line, "    ", f"  {label}")
    if words.note:
        yield from wrapped(words.note, "  ", "  ")


def caution_lines(words: StepText) -> Iterator[str]:
    """The cautions of a step, in full."""
    for caution in words.cautions:
        yield from wrapped(caution, "  ", "  CAUTION: ")


def ranking_lines(
    rules: RuleBase, case: Case, assessment: Assessment, read: Collection[str] = ()
) -> Iterator[str]:
    """What is known against riding; what was put right, then the causes left with reasons, and the
    corrections in order. Cautions that were `read` are counted."""
    findings = assessment.belief.findings
    for reason in ban_texts(rules, case, assessment.bans):
        yield from wrapped(reason, "  ", "DO NOT RIDE: ")
    yield from _cautions_left(caution_texts(rules, assessment.cautions), read, "CAUTION: ")
    for contradiction in findings.contradictions:
        yield from wrapped(contradiction.text, "  ", "CHECK AGAIN: ")
    faults = sorted(assessment.faults, key=lambda fault: not fault.put_right)
    if faults:
        yield "Found:"
    for fault in faults:
        mark = ", put right" if fault.put_right else ""
        text = f"{rules.causes[fault.cause].title}{mark}: "
        yield from wrapped(text + evidence_text(rules, fault.shown_by, case), "    ", "  ")
    shown = [
        item
        for item in causes_in_order(assessment)
        if item.relevant and item.probability >= _WORTH_SHOWING
    ][:_SHOWN_CAUSES]
    headings = _headings(assessment, shown)
    yield headings[1]
    if not assessment.belief.chances.is_exact:
        yield "  (So much was found that what tells least is counted roughly: good to 5 in 100.)"
    for number, item in enumerate(shown, 1):
        if number > 1 and number in headings:
            yield headings[number]
        yield from cause_lines(rules, case, item, f"{number}. ")
    if nothing := nothing_text(assessment):
        yield f"  {nothing}: {percent(assessment.ranking.nothing_listed)}"
    yield from plan_lines(rules, assessment, read)


def _headings(assessment: Assessment, shown: Sequence[RankedCause]) -> dict[int, str]:
    """What stands above which cause shown: after proof what was put right, then the rest."""
    if not standing(assessment.belief.case).is_proven:
        expected = round(assessment.expected_faults)
        many = f" (about {expected} of them together)" if expected > 1 else ""
        return {1: f"How likely each is at work{many}:"}
    put_right = sum(item.corrected for item in shown)
    rest = max((item.probability for item in shown[put_right:]), default=0.0)
    left = "Unlikely now:" if rest < _UNLIKELY else "Not put right:"
    return {put_right + 1: left, 1: "Put right:"} if put_right else {1: left}


def _cautions_left(texts: Iterable[str], read: Collection[str], first: str) -> Iterator[str]:
    texts = list(texts)
    new = [text for text in texts if text not in read]
    for text in new:
        yield from wrapped(text, "  ", first)
    if len(new) < len(texts):
        indent = first[: -len(first.lstrip())]
        yield f"{indent}{counted(len(texts) - len(new), 'caution')} as before: v"


def cause_lines(
    rules: RuleBase,
    case: Case,
    item: RankedCause,
    label: str = "",
) -> Iterator[str]:
    """A cause, its probability, and the facts for and against it, each with how much it says."""
    yield from wrapped(cause_line(rules, item), "     ", f"  {label}")
    for word, weights in for_and_against(item):
        for weight in weights[:_SHOWN_REASONS]:
            text = evidence_text(rules, weight.evidence, case)
            strength = strength_text(weight.decibans)
            yield from wrapped(f"{word} ({strength}): {text}", "       ", "     ")


def plan_lines(rules: RuleBase, assessment: Assessment, read: Collection[str]) -> Iterator[str]:
    """The corrections in the order worth trying. Cautions that were `read` are counted."""
    plan = assessment.plan
    if not plan.corrections:
        return
    yield "Corrections, in the order worth trying:"
    rows = zip(plan.corrections, plan.chances, plan.checks, strict=True)
    shown = [row for row in rows if row[1] >= 0.02]
    cautions: dict[str, None] = {}
    for number, (name, chance, check) in enumerate(shown[:_SHOWN_CAUSES], 1):
        entry = rules.corrections[name]
        work = f"{entry.title}: {plan_text(entry.minutes, chance, check)}, {needs_text(entry)}"
        yield from wrapped(work, "     ", f"  {number}. ")
        yield from wrapped(entry.proof, "     ", "     Proof: ")
        cautions.update(dict.fromkeys(entry.cautions))
    yield from _cautions_left(caution_texts(rules, cautions), read, "  CAUTION: ")


def next_step_lines(rules: RuleBase, case: Case, assessment: Assessment) -> Iterator[str]:
    """The next step with its reason."""
    step = assessment.step
    words = step_text(rules, case, step, assessment.cautions)
    yield f"Next step ({step_label(rules, step)}):"
    yield from step_lines(words)
    why = why_text(rules, step)
    if why != words.note:
        yield from wrapped(why, "  ", "  Why now: ")


def why_lines(
    rules: RuleBase,
    case: Case,
    assessment: Assessment,
    told: Sequence[tuple[Event, Sequence[Shift]]] = (),
) -> Iterator[str]:
    """Why this step, why the leading causes lead, what each thing `told` did, with sources."""
    step = assessment.step
    constraint = f"{step.constraint.capitalize()}: " if step.constraint else ""
    yield from wrapped(constraint + why_text(rules, step), "  ", "Why this now: ")
    yield from _pack_lines(step_pack_text(rules, step), "  ")
    for line in told_lines(rules, told):
        yield from wrapped(line.strip(), "    ", "  " if line.startswith(" ") else "")
    leading = leading_causes(assessment)
    sources = list(step_text(rules, case, step).sources)
    for item in leading:
        yield from cause_lines(rules, case, item)
        yield from _pack_lines(pack_text(rules, "causes", item.cause), "     ")
        entry = rules.causes[item.cause]
        sources += entry.sources
    telling = most_telling(assessment.options)
    if telling is not None and telling.chance_first_changes > 0:
        ask = rules.observations[telling.observation].ask
        yield from wrapped(
            f"{ask} ({percent(telling.chance_first_changes)} that another cause comes first)",
            "  ",
            "Most likely to change the order: ",
        )
    for line in source_lines(rules, sources):
        yield from wrapped(line, "  ", "")


def _pack_lines(pack: str, indent: str) -> Iterator[str]:
    if pack:
        yield from wrapped(pack, f"{indent}  ", f"{indent}Pack: ")


def summary_lines(
    rules: RuleBase, case: Case, assessment: Assessment, read: Collection[str] = ()
) -> Iterator[str]:
    """The case as it stands, for the end of an interview: what was put right and proven first, each
    job with the ride that followed it. Cautions that were `read` are counted."""
    now = standing(case)
    named = complaints_line(rules, case) if now.complaints else "none given"
    yield from wrapped(named, "  ", "Complaint: ")
    yield from wrapped(bike_in_full(rules, case), "  ", "Bike: ")
    yield from _done_lines(rules, now)
    if now.complaints:
        yield from ranking_lines(rules, case, assessment, read)


def _done_lines(rules: RuleBase, now: Standing) -> Iterator[str]:
    """The jobs that one ride tells of together, each with its rides, those that it proved first."""
    ends = sorted({len(ride.corrected) for ride in now.rides} | {0, len(now.corrections)})
    jobs = []
    for start, end in zip([0, *ends], ends, strict=False):
        rides = [ride for ride in now.rides if len(ride.corrected) == end]
        if rides or end > start:
            jobs.append((now.corrections[start:end], rides))
    for done, rides in sorted(jobs, key=lambda job: not any(r.report == "gone" for r in job[1])):
        for name in done:
            yield from wrapped(rules.corrections[name].title, "  ", "Done: ")
        after = "  Ride after it" if done else "Ride before any work"
        for ride in rides:
            about = ride.about if len(now.complaints) > 1 else None
            named = f", {complaint_title(rules, about)}" if about else ""
            yield from wrapped(f"{ride.report}{named}", "    ", f"{after}: ")
        if not rides:
            yield "  No ride after it yet"
