"""How the causes stand: which lead, what the last answer did to them, and why each stands there."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from diagnose.advice.assessor import Assessment
from diagnose.advice.foresight import Outcome, Swing, swings
from diagnose.advice.pricing import Option
from diagnose.case.events import Answered, Case, Event, standing
from diagnose.case.set_figures import just_set, opposite_of
from diagnose.inference.posterior import RankedCause
from diagnose.inference.shifts import Shift
from diagnose.words.chances import percent
from diagnose.words.event_words import event_row, event_text
from diagnose.words.evidence_words import evidence_text, for_and_against, strength_text
from diagnose.words.sources import pack_text, source_lines
from diagnose.words.who_words import needs_text
from rules.rulebase import RuleBase

_NOTICEABLE = 0.005
_WORTH_SAYING = 0.01
_LITTLE = 3
"""Answers before which the chance that no listed cause is at work says more of how little was asked
than of the bike (our own choice)."""
NO_CAUSE = "no cause stands out"


def chances_text(rules: RuleBase, chances: Iterable[tuple[str, float]]) -> str:
    """`Stale fuel 62 %; Plug worn 12 %`, empty for none."""
    return "; ".join(f"{rules.causes[cause].title} {percent(chance)}" for cause, chance in chances)


def leading_causes(assessment: Assessment) -> list[RankedCause]:
    """The three likeliest causes that bear on the complaint and are not corrected."""
    return [c for c in assessment.ranking.causes if c.relevant and not c.corrected][:3]


def with_opposites(rules: RuleBase, causes: Iterable[str]) -> dict[str, str | None]:
    """The causes in order, each with its opposite where that comes later among them: a reading is
    off to one side only, so the two are one suspect. The opposite has no entry of its own."""
    found: dict[str, str | None] = {}
    for cause in causes:
        first = next((c for c in opposite_of(rules, cause) if c in found), None)
        if first is None:
            found[cause] = None
        else:
            found[first] = found[first] or cause
    return found


def causes_in_order(assessment: Assessment) -> list[RankedCause]:
    """The causes as they are shown: by their chance, and once every complaint is gone what was put
    right before the others. What was put right was off to one side: the likelier of two opposites
    stands alone."""
    rules, ranking = assessment.model.rules, assessment.ranking
    sides = with_opposites(rules, [item.cause for item in ranking.causes if item.corrected])
    causes = [item for item in ranking.causes if not item.corrected or item.cause in sides]
    if standing(assessment.belief.case).is_proven:
        causes.sort(key=lambda item: not (item.corrected and item.relevant))
    return causes


def leading_line(rules: RuleBase, assessment: Assessment, most: int | None = None) -> str:
    """The causes in front, at most so many of them, in one line; empty where the case is done."""
    if assessment.step.kind == "close":
        return ""
    leading = [(item.cause, item.probability) for item in leading_causes(assessment)[:most]]
    return f"So far: {chances_text(rules, leading)}" if leading else "No cause stands out yet"


def nothing_text(assessment: Assessment) -> str:
    """What the probability that no listed cause is left means: while little is told, after that,
    and after corrections. Empty once every complaint is gone, when nothing is left to explain."""
    now = standing(assessment.belief.case)
    if now.is_proven:
        return ""
    if any(item.corrected for item in assessment.ranking.causes):
        return "No other listed cause is left"
    told = sum(answer.is_known for answer in now.answers.values())
    return "Something else (little told yet)" if told < _LITTLE else "Something else altogether"


def cause_line(rules: RuleBase, item: RankedCause) -> str:
    """A cause with its probability, and whether it was put right."""
    state = ", put right" if item.corrected else ""
    return f"{rules.causes[item.cause].title}: {percent(item.probability)}{state}"


def told_lines(
    rules: RuleBase, told: Sequence[tuple[Event, Sequence[Shift]]], most: int = 2
) -> list[str]:
    """What each thing said did: `25 psi: Front tyre pressure?  Front tyre too hard 9 → 97 %`."""
    lines = ["What each answer did:"] if told else []
    for event, moved in told:
        moves = [
            f"{rules.causes[move.cause].title} {percent(move.before)} → {percent(move.after)}"
            for move in moved[:most]
            if abs(move.by) >= _WORTH_SAYING
        ]
        lines.append(f"  {event_row(rules, event)} - {'; '.join(moves) or 'moved nothing'}")
    return lines


def moved_lines(
    rules: RuleBase, assessment: Assessment, moved: Sequence[Shift], most: int = 3
) -> list[str]:
    """How the latest event moved the causes that matter, a line each, furthest first."""
    relevant = {c.cause for c in assessment.ranking.causes if c.relevant}
    moves = [m for m in moved if abs(m.by) >= _NOTICEABLE and m.cause in relevant]
    return [
        f"{rules.causes[m.cause].title} {'up' if m.by > 0 else 'down'} from "
        f"{percent(m.before)} to {percent(m.after)}"
        for m in moves[:most]
        if percent(m.before) != percent(m.after)
    ]


def moved_line(
    rules: RuleBase, case: Case, assessment: Assessment, moved: Sequence[Shift], most: int = 3
) -> str:
    """What the latest event did to the order, in one line, the change first."""
    if not case.events:
        return ""
    last = event_text(rules, case.events[-1])
    told = moved_lines(rules, assessment, moved, most)
    is_news = isinstance(case.events[-1], Answered) and not just_set(rules, case)
    nothing = "Nothing moved" if is_news else ""
    head = "; ".join(told) or nothing
    return f"{head}, after: {last}" if head else last


def cause_reasons(
    rules: RuleBase,
    case: Case,
    options: Sequence[Option],
    item: RankedCause,
    foreseen: Mapping[str, tuple[Outcome, ...]],
    figures: bool = False,
) -> list[str]:
    """Why a cause stands where it does, and what would move it. `foreseen` is by node; `figures`
    gives weights in decibans."""
    entry = rules.causes[item.cause]
    before = "in a hundred bad rides, before anything was said"
    lines = [
        cause_line(rules, item),
        entry.what,
        f"Starts at {percent(item.prior)} ({before}).",
        "",
    ]
    lines += _weights(rules, case, item, figures)
    moving = [s for s in swings(options, foreseen, item.cause) if s.width >= _WORTH_SAYING]
    if moving:
        lines += ["", "What would change the order:"]
        lines += [_swing_line(rules, swing) for swing in moving[:3]]
    correction = rules.corrections[entry.correction]
    lines += ["", f"Put right by: {correction.title} ({needs_text(correction)})"]
    pack = pack_text(rules, "causes", item.cause)
    lines += [f"Pack: {pack}"] if pack else []
    return lines + source_lines(rules, entry.sources)


def _weights(rules: RuleBase, case: Case, item: RankedCause, figures: bool) -> list[str]:
    lines = []
    for word, weights in for_and_against(item):
        unit = " (weight in decibans)" if figures else ""
        lines += [f"{word.capitalize()}{unit}:"] if weights else []
        for weight in weights:
            text = evidence_text(rules, weight.evidence, case)
            how = f"{weight.decibans:+.0f}" if figures else strength_text(weight.decibans)
            lines.append(f"  {how}  {text}" if figures else f"  {text}; {how}")
    return lines or ["Nothing said so far weighs on it."]


def _swing_line(rules: RuleBase, swing: Swing) -> str:
    ask = rules.observations[swing.observation].ask
    return f"  {ask} ({percent(swing.lowest)} to {percent(swing.highest)}, by the answer)"
