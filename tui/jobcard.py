"""The job card of a case as Markdown: complaint, cause, correction, proof."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.case import Case, Noted, Rode, machine_traits, standing
from diagnose.interview import Assessment
from diagnose.wording import caution_texts, complaint_text, source_text, step_text
from rules.rulebase import RuleBase
from tui.lines import leading_causes, percent
from tui.telling import bike_line, event_text, nothing_words

_REPORTS = {
    "gone": "The ride proved it: the complaint is gone.",
    "better": "Better, not gone.",
    "same": "No change.",
    "worse": "Worse.",
}


def job_card(rules: RuleBase, case: Case, assessment: Assessment, bike: str = "") -> str:
    """The whole card, ending in a newline."""
    return "\n".join(_lines(rules, case, assessment, bike)) + "\n"


def _lines(rules: RuleBase, case: Case, assessment: Assessment, bike: str) -> Iterator[str]:
    now = standing(case)
    yield "# Job card"
    yield ""
    for raised in assessment.belief.findings.do_not_ride:
        yield f"**DO NOT RIDE: {raised.text}**"
        yield ""
    yield "## Complaint"
    yield ""
    for complained in now.complaints:
        yield f"- {complaint_text(rules, complained)}"
    if not now.complaints:
        yield "- none given"
    yield ""
    yield f"Bike: {bike_line(rules, case, bike)}"
    yield ""
    yield from _cause(rules, assessment)
    yield from _correction(rules, case)
    yield from _cautions(rules, assessment)
    yield from _next(rules, case, assessment)
    yield "## Said and measured"
    yield ""
    for event in case.events:
        yield f"- {event_text(rules, event)}"
    yield ""
    yield from _machine(rules, case)
    yield from _sources(rules, case, assessment)
    yield f"Rule base: {rules.info.title}, version {rules.info.version}. Chances are worked out"
    yield "from it and from what was said; the owner's manual goes before any rule of thumb."


def _machine(rules: RuleBase, case: Case) -> Iterator[str]:
    yield "## Bike"
    yield ""
    for trait, option in machine_traits(rules, case).items():
        entry = rules.traits[trait]
        mark = "" if trait in case.machine else " (assumed)"
        yield f"- {entry.title}: {entry.options[option]}{mark}"
    for name, figure in case.targets.items():
        yield f"- {rules.specs[name].title}: {figure} (as given)"
    yield ""


def _sources(rules: RuleBase, case: Case, assessment: Assessment) -> Iterator[str]:
    """Where the causes named and the corrections done come from."""
    named = [c.cause for c in assessment.ranking.causes if c.corrected and c.relevant][:2]
    if assessment.step.kind != "close":
        named += [c.cause for c in leading_causes(assessment)]
    used = [source for name in named for source in rules.causes[name].source]
    used += [s for name in standing(case).corrections for s in rules.corrections[name].source]
    if used:
        yield "## Sources"
        yield ""
        for source in dict.fromkeys(used):
            yield f"- {source_text(rules, source)}"
        yield ""


def _cause(rules: RuleBase, assessment: Assessment) -> Iterator[str]:
    yield "## Cause"
    yield ""
    put_right = [c for c in assessment.ranking.causes if c.corrected and c.relevant]
    for item in put_right[:2]:
        title = rules.causes[item.cause].title
        yield f"- {title}: {percent(item.probability)} that it was behind it; put right"
    if assessment.step.kind != "close":
        for item in leading_causes(assessment):
            yield f"- {rules.causes[item.cause].title}: {percent(item.probability)}"
    yield f"- {nothing_words(assessment)}: {percent(assessment.ranking.nothing_listed)}"
    yield ""


def _correction(rules: RuleBase, case: Case) -> Iterator[str]:
    now = standing(case)
    yield "## Correction"
    yield ""
    for name in now.corrections:
        yield f"- Done: {rules.corrections[name].title}"
    for name in sorted(now.declined):
        yield f"- Not done here: {rules.corrections[name].title}"
    if not now.corrections and not now.declined:
        yield "- none yet"
    yield ""
    yield "## Proof"
    yield ""
    rides = [event for event in case.events if isinstance(event, Rode)]
    for ride in rides:
        yield f"- {_REPORTS[ride.report]}"
    if not rides:
        yield "- not ridden yet"
    yield ""
    notes = [event for event in case.events if isinstance(event, Noted)]
    if notes:
        yield "## Notes"
        yield ""
        for note in notes:
            yield f"- {note.text}"
        yield ""


def _cautions(rules: RuleBase, assessment: Assessment) -> Iterator[str]:
    raised = assessment.belief.findings.cautions
    if raised:
        yield "## Cautions"
        yield ""
        for text in caution_texts(rules, [item.text for item in raised]):
            yield f"- CAUTION: {text}"
        yield ""


def _next(rules: RuleBase, case: Case, assessment: Assessment) -> Iterator[str]:
    step = assessment.step
    if step.kind in ("close", "complain"):
        return
    words = step_text(rules, case, step)
    yield "## Next step"
    yield ""
    for caution in words.cautions:
        yield f"- CAUTION: {caution}"
    yield f"- {words.heading}"
    yield f"- Why: {step.why}"
    for source in dict.fromkeys(words.sources):
        yield f"- Source: {source_text(rules, source)}"
    yield ""
