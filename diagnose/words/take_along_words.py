"""The list that a rider takes along to a workshop, in words."""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.advice.planning import GUESS
from diagnose.advice.sheet import SheetRow
from diagnose.advice.taking_along import TakeAlong
from diagnose.case.events import Case, Corrected, Rode
from diagnose.inference.found_faults import FoundFault
from diagnose.words.chances import how_likely
from diagnose.words.event_words import event_text
from diagnose.words.evidence_words import evidence_text
from diagnose.words.sheet_words import found_figure
from diagnose.words.titles import lowered, setting_title
from diagnose.words.who_words import needs_text
from rules.rulebase import RuleBase

_MOST_NAMED = 2
_WORTH_SAYING = 0.1


@dataclass(frozen=True, slots=True)
class CheckText:
    """A check to be made: what is looked at, its minutes, what or who it needs, what it settles."""

    title: str
    minutes: str
    needs: str
    settles: str


def found_text(rules: RuleBase, case: Case, fault: FoundFault) -> str:
    """`Rear tyre pressure too high: 22 psi → 13 psi. Put right by: set it (3 min, anyone with
    tools)`:
    what was found, as it is and as it should be, and the work."""
    title = rules.causes[fault.cause].title
    figure = found_figure(rules, case, fault)
    return f"{title}: {figure}. Put right by: {lowered(work_text(rules, fault.cause))}"


def work_text(rules: RuleBase, cause: str) -> str:
    """`Change the fork oil (90 min, a qualified technician)`: what puts a cause right."""
    work = rules.corrections[rules.causes[cause].correction]
    return f"{work.title} ({work.minutes:g} min, {needs_text(work)})"


def answer_lines(rules: RuleBase, case: Case, along: TakeAlong) -> list[str]:
    """What was read, seen or said that speaks for or against a suspect, the weightiest first."""
    return [evidence_text(rules, told, case) for told in along.answers]


def done_lines(rules: RuleBase, case: Case) -> list[str]:
    """What was put right and how the rides after it went, in that order."""
    return [event_text(rules, e) for e in case.events if isinstance(e, Corrected | Rode)]


def suspect_rows(rules: RuleBase, along: TakeAlong) -> list[tuple[str, str, str]]:
    """(causes, how likely it is in words that one of them is there, what puts them right), the
    likeliest first; causes with the same repair stand together."""
    return [
        (
            either([rules.causes[cause].title for cause, _ in repair.causes]),
            how_likely(repair.chance),
            lowered(work_text(rules, repair.causes[0][0])),
        )
        for repair in along.repairs
    ]


def otherwise_text(along: TakeAlong) -> str:
    """How likely it is that nothing on the list is behind it; empty where that is not worth
    saying."""
    if along.nothing_listed < _WORTH_SAYING:
        return ""
    if not along.repairs:
        return "Nothing known here is likely; look for something else."
    return f"That it is something else altogether: {how_likely(along.nothing_listed)}."


def on_the_way_lines(rules: RuleBase, along: TakeAlong) -> list[str]:
    """`Replace the fork seals: fork oil level; colour of the oil`: what is looked at while likely
    work has it open, each with the first work that does."""
    lines, named = [], set[str]()
    for repair in along.repairs:
        new = [name for name in repair.with_it if name not in named]
        if new and repair.chance >= GUESS:
            named.update(new)
            looks = "; ".join(setting_title(rules, name).rstrip(":.") for name in new)
            lines.append(f"{rules.corrections[repair.correction].title}: {looks}")
    return lines


def either(titles: list[str]) -> str:
    """`Seal worn out, or seal torn`: several names, any of which may be meant."""
    return ", or ".join([titles[0], *(lowered(title) for title in titles[1:])])


def check_text(rules: RuleBase, row: SheetRow) -> CheckText:
    """A check of the list in columns."""
    entry = rules.observations[row.about]
    needs = list(entry.tools)
    match entry.way:
        case "parts-off":
            needs.insert(0, "opened up, by a qualified technician")
        case "ride":
            needs.insert(0, "a ride")
        case "memory":
            needs.insert(0, "the rider's word")
        case "look" if not needs:
            needs.append("a look")
        case _:
            pass
    named = [rules.causes[cause].title for cause, _ in row.settles[:_MOST_NAMED]]
    return CheckText(
        setting_title(rules, row.about),
        f"{row.minutes:g}",
        ", ".join(needs) or "nothing more",
        "; ".join(named) or "which it is",
    )
