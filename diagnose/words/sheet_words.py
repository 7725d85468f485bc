"""The rows of the sheet in words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from diagnose.advice.planning import OBSERVING, Step
from diagnose.advice.sheet import CaseSheet, RowKind, SheetRow
from diagnose.case.events import Case, standing
from diagnose.case.figures import figure_of
from diagnose.inference.found_faults import FoundFault
from diagnose.words.answers import answer_text
from diagnose.words.chances import percent
from diagnose.words.check_in_words import tick_text
from diagnose.words.evidence_words import evidence_text
from diagnose.words.figure_words import short_figure
from diagnose.words.step_words import StepText, caution_texts, step_label, step_text
from diagnose.words.titles import lowered, setting_title, short_titles
from rules.rulebase import RuleBase

PARTS: Mapping[RowKind, str] = {
    "found": "FOUND",
    "next": "NEXT",
    "settles": "SETTLES",
    "useful": "USEFUL",
    "said": "SAID",
}
"""What each part of the sheet is called."""


@dataclass(frozen=True, slots=True)
class RowText:
    """A row in columns: what it is about, whole and in a few words, what was found or answered
    (empty where that is yet to be filled in), its minutes, and what it is good for: `use` in words,
    `chance` as the figure alone."""

    title: str
    short: str
    value: str
    minutes: str
    use: str
    chance: str = ""


def row_text(rules: RuleBase, case: Case, row: SheetRow) -> RowText:
    """The words of a row."""
    minutes = f"{row.minutes:g} min"
    if row.is_work:
        titles = [rules.causes[fault.cause].title for fault in row.faults]
        title = "; ".join(titles) or rules.corrections[row.about].title
        value = "; ".join(found_figure(rules, case, fault) for fault in row.faults)
        return RowText(title, title, value, minutes, "put right" if value else "")
    title, short = setting_title(rules, row.about), _short(rules, row.about)
    if row.kind == "said":
        return RowText(title, short, answer_text(rules, standing(case).answers[row.about]), "", "")
    if not row.settles:
        return RowText(title, short, "", minutes, "")
    cause, chance = row.settles[0]
    use = f"{percent(chance)} {lowered(rules.causes[cause].title)}"
    return RowText(title, short, "", minutes, use, percent(chance))


def _short(rules: RuleBase, observation: str) -> str:
    """What is asked or looked at in a few words, as far as the pack has them."""
    entry = rules.observations[observation]
    if entry.short is not None or entry.phase or entry.kind == "history":
        text = tick_text(rules, observation)
    else:
        text = short_titles(rules, [observation])[observation]
    return text[:1].upper() + text[1:]


def found_figure(rules: RuleBase, case: Case, fault: FoundFault) -> str:
    """`14 psi → 13 psi`, with whose figure it is where that is not the bike's own, or what was
    seen."""
    reading = standing(case).answers[fault.shown_by.key].reading
    if reading is None:
        return rules.nodes[fault.shown_by.nodes[0]].label(fault.shown_by.state)
    target = rules.observations[fault.shown_by.key].target
    if target is None:
        return str(reading)
    figure = figure_of(rules, case, target).read_in(reading.unit)
    return f"{reading} → {figure.value if figure.is_own else short_figure(figure)}"


def row_label(rules: RuleBase, row: SheetRow) -> str:
    """What kind of step a row is, how long it takes, and who may do it where that is limited."""
    return step_label(rules, row_step(rules, row))


def row_card(rules: RuleBase, case: Case, row: SheetRow) -> StepText:
    """How what a row is about is done, its cautions first, and what it settles or puts right."""
    words = step_text(rules, case, row_step(rules, row))
    notes = [f"Found: {evidence_text(rules, fault.shown_by, case)}." for fault in row.faults]
    if row.settles:
        named = (f"{rules.causes[c].title} ({percent(chance)})" for c, chance in row.settles)
        notes.append(f"Settles or confirms: {'; '.join(named)}.")
    if words.note:
        notes.append(words.note)
    return replace(words, cautions=caution_texts(rules, row.cautions), note=" ".join(notes))


def row_step(rules: RuleBase, row: SheetRow) -> Step:
    """What a row is about, as a step that the planner did not choose."""
    kind = "correct" if row.is_work else OBSERVING[rules.observations[row.about].kind]
    return Step(kind, row.about, None, row.minutes)


def next_text(rules: RuleBase, case: Case, step: Step, sheet: CaseSheet) -> str:
    """What comes next where that is no row, such as a ride; empty where it is."""
    if step.target and sheet.find(step.target) is not None:
        return ""
    return f"Next: {step_label(rules, step)}: {step_text(rules, case, step).heading}"
