"""What screens say of a case, as plain text: one place for wording, none of it drawing."""

from __future__ import annotations

from collections.abc import Mapping

from diagnose.advice.foresight import Outcome, Swing, swings
from diagnose.advice.planning import Step
from diagnose.advice.workshop import Assessment
from diagnose.case.events import (
    Answered,
    Case,
    Complained,
    Corrected,
    Declined,
    Event,
    Insisted,
    Noted,
    Rode,
    machine_traits,
    standing,
)
from diagnose.diagnosis import Assessed
from diagnose.inference.posterior import RankedCause
from diagnose.words.chances import percent
from diagnose.words.steps import (
    answer_text,
    complaint_text,
    evidence_text,
    pack_text,
    source_text,
    step_pack_text,
    step_text,
)
from rules.rulebase import RuleBase
from tui.interview.case_at_work import CaseAtWork
from tui.plain.lines import KIND_WORDS, leading_causes

_NOTICEABLE = 0.005
_WORTH_DB = 0.5


def complaints_line(rules: RuleBase, case: Case) -> str:
    """Every complaint of a case in one line."""
    named = [complaint_text(rules, item) for item in standing(case).complaints]
    return ", ".join(named) or "No complaint yet"


def bike_line(rules: RuleBase, case: Case, name: str = "") -> str:
    """The machine in one line, with what nobody has said of it."""
    told = []
    for trait, option in machine_traits(rules, case).items():
        label = rules.traits[trait].options[option]
        if trait in case.machine:
            bare = label.casefold() in ("yes", "no")
            told.append(f"{rules.traits[trait].title}: {label}" if bare else label)
    assumed = len(rules.traits) - len(told)
    parts = [name] if name else []
    parts += told
    figures = len(case.targets)
    thumbs = "" if figures else ", rules of thumb"
    if assumed == len(rules.traits):
        parts.append(f"usual kind assumed{thumbs}")
    elif assumed:
        parts.append(f"{assumed} more assumed{thumbs}")
    if figures:
        parts.append(f"{figures} figure{'s' * (figures != 1)} by the manual")
    return "; ".join(parts)


def minutes_text(minutes: float) -> str:
    """How long a step takes, as people say it."""
    return "under a minute" if minutes < 1 else f"about {minutes:g} min"


def step_label(rules: RuleBase, step: Step) -> str:
    """`Measure, about 3 min, safety first`, and who may do it where that is limited."""
    parts = [KIND_WORDS[step.kind], minutes_text(step.minutes)]
    if step.kind == "correct":
        parts.append(rules.corrections[step.target].who)
    if step.constraint:
        parts.append(step.constraint)
    return ", ".join(parts)


def event_text(rules: RuleBase, event: Event) -> str:  # noqa: PLR0911 - one per kind
    """An event as it stands in the list of what was said."""
    match event:
        case Complained():
            return f"Complaint: {complaint_text(rules, event)}"
        case Answered():
            ask = rules.observations[event.observation].ask
            return f"{ask}{'' if ask.endswith('?') else ':'} {answer_text(rules, event)}"
        case Corrected():
            return f"Done: {rules.corrections[event.correction].title}"
        case Declined():
            return f"Not done here: {rules.corrections[event.correction].title}"
        case Rode():
            return f"Ride: {event.report}"
        case Insisted():
            return f"Both stand: {rules.rules[event.rule].then.contradiction}"
        case Noted():
            return f"Note: {event.text}"


def event_row(rules: RuleBase, event: Event) -> str:
    """An event as a row that may be cut at its end: an answer comes before its question."""
    if not isinstance(event, Answered):
        return event_text(rules, event)
    answer = answer_text(rules, event)
    return f"{answer[:1].upper()}{answer[1:]}: {rules.observations[event.observation].ask}"


def assumed_texts(case: CaseAtWork) -> dict[Event, str]:
    """For what was taken from the records and not asked: a mark that says what it rests on."""
    said = case.kept.folded.said if case.kept is not None else ()
    return {
        item.event: f" (assumed: {item.assumed.rests_on})"
        for item in said
        if item.assumed is not None
    }


def moved_lines(rules: RuleBase, assessed: Assessed, most: int = 3) -> list[str]:
    """How the latest event moved the causes that matter, a line each, furthest first."""
    relevant = {c.cause for c in assessed.assessment.ranking.causes if c.relevant}
    moves = [m for m in assessed.moved if abs(m.by) >= _NOTICEABLE and m.cause in relevant]
    return [
        f"{rules.causes[m.cause].title} {'up' if m.by > 0 else 'down'} from "
        f"{percent(m.before)} to {percent(m.after)}"
        for m in moves[:most]
        if percent(m.before) != percent(m.after)
    ]


def moved_line(rules: RuleBase, assessed: Assessed, most: int = 3) -> str:
    """What the latest event did to the order, in one line, the change first."""
    if not assessed.case.events:
        return ""
    last = event_text(rules, assessed.case.events[-1])
    told = moved_lines(rules, assessed, most)
    nothing = "Nothing moved" if isinstance(assessed.case.events[-1], Answered) else ""
    head = "; ".join(told) or nothing
    return f"{head}, after: {last}" if head else last


def leading_line(rules: RuleBase, assessment: Assessment) -> str:
    """The causes in front, in one line."""
    leading = leading_causes(assessment)
    if assessment.step.kind == "close":
        return ""
    if not leading:
        return "No cause stands out yet"
    told = [f"{rules.causes[c.cause].title} {percent(c.probability)}" for c in leading]
    return "So far: " + "; ".join(told)


def nothing_words(assessment: Assessment) -> str:
    """What the probability that no listed cause is left means, before and after corrections."""
    corrected = any(item.corrected for item in assessment.ranking.causes)
    return "No other listed cause is left" if corrected else "Nothing listed explains it"


def change_mark(by: float) -> str:
    """`up 12` or `down 3` in points of a hundred; empty where nobody would notice."""
    points = round(by * 100)
    if points == 0:
        return ""
    return f"up {points}" if points > 0 else f"down {-points}"


# -- why -----------------------------------------------------------------------------------------


def step_reasons(
    rules: RuleBase, assessed: Assessed, foreseen: Mapping[str, tuple[Outcome, ...]]
) -> list[str]:
    """Why this step now: what outranked the arithmetic, its cost, what its answers would tell
    apart, what else could be looked at, and the sources."""
    step, assessment = assessed.assessment.step, assessed.assessment
    lines = [step.why]
    if step.constraint:
        lines.insert(0, f"Comes before the arithmetic: {step.constraint}.")
    lines.append(f"Costs {minutes_text(step.minutes)} at the bench.")
    option = next((o for o in assessment.options if o.observation == step.target), None)
    if option is not None:
        ranked = assessment.ranking.causes
        still_open = {c.cause for c in ranked if c.relevant and not c.corrected}
        lines += ["", "What the answer would leave in front:"]
        lines += _told_apart(rules, foreseen.get(option.node, ()), option.node, still_open)
        if option.node != step.target:
            lines.append("  (once the other readings it needs are in)")
    others = sorted(assessment.options, key=lambda o: (-o.net, o.observation))
    others = [o for o in others if o.observation != step.target][:3]
    if others:
        lines += ["", "Next best to find out (minutes saved, less its cost):"]
        lines += [
            f"  {rules.observations[o.observation].ask} ({round(o.net, 1) + 0.0:+.1f})"
            for o in others
        ]
    sources = step_text(rules, assessed.case, step).sources
    lines += [""] if sources else []
    pack = step_pack_text(rules, step)
    lines += [f"Pack: {pack}"] if pack else []
    lines += [f"Source: {source_text(rules, source)}" for source in dict.fromkeys(sources)]
    return lines


def _told_apart(
    rules: RuleBase, answers: tuple[Outcome, ...], node: str, open_causes: set[str]
) -> list[str]:
    told = []
    for answer in answers:
        after = [(cause, p) for cause, p in answer.causes.items() if cause in open_causes]
        best = sorted(after, key=lambda item: (-item[1], item[0]))[:2]
        causes = ", ".join(f"{rules.causes[cause].title} {percent(p)}" for cause, p in best)
        label = rules.nodes[node].label(answer.state)
        told.append(f"  {label} ({percent(answer.chance)} likely): {causes}")
    return told


def cause_reasons(
    rules: RuleBase,
    assessed: Assessed,
    item: RankedCause,
    foreseen: Mapping[str, tuple[Outcome, ...]],
) -> list[str]:
    """Why a cause stands where it does, and what would move it."""
    entry = rules.causes[item.cause]
    state = ", put right" if item.corrected else ""
    before = "in a hundred bad rides, before anything was said"
    lines = [
        f"{entry.title}: {percent(item.probability)}{state}",
        entry.what,
        f"Starts at {percent(item.prior)} ({before}).",
        "",
    ]
    lines += _weights(rules, assessed.case, item)
    moving = [
        s for s in swings(assessed.assessment.options, foreseen, item.cause) if s.width >= 0.01
    ]
    if moving:
        lines += ["", "What would change the order:"]
        lines += [_swing_line(rules, swing) for swing in moving[:3]]
    correction = rules.corrections[entry.correction]
    lines += ["", f"Put right by: {correction.title} ({correction.who})"]
    pack = pack_text(rules, "causes", item.cause)
    lines += [f"Pack: {pack}"] if pack else []
    sources = dict.fromkeys([*entry.source, *entry.shows_source])
    lines += [f"Source: {source_text(rules, source)}" for source in sources]
    return lines


def _weights(rules: RuleBase, case: Case, item: RankedCause) -> list[str]:
    lines = []
    for word, weights in (("For", item.supporting), ("Against", item.opposing)):
        worth = [w for w in weights if abs(w.decibans) >= _WORTH_DB]
        lines += [f"{word} (weight in decibans):"] if worth else []
        for weight in worth:
            text = evidence_text(rules, weight.evidence, case)
            lines.append(f"  {weight.decibans:+.0f}  {text}")
    return lines or ["Nothing said so far weighs on it."]


def _swing_line(rules: RuleBase, swing: Swing) -> str:
    ask = rules.observations[swing.observation].ask
    return f"  {ask} ({percent(swing.lowest)} to {percent(swing.highest)}, by the answer)"
