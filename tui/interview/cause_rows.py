"""The causes in front as rows: what stands where, how likely it is, and how it moved."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from diagnose.diagnosis import Assessed
from diagnose.words.cause_words import causes_in_order, nothing_text
from diagnose.words.chances import change_mark, percent
from diagnose.words.evidence_words import shortly_shown
from rules.rulebase import RuleBase

_WORTH_SHOWING = 0.01


@dataclass(frozen=True, slots=True)
class CauseRow:
    """A line of the ranking: how likely it is now, the same after each of the latest answers, and a
    mark for what the last of them did."""

    title: str
    share: float
    trail: tuple[float, ...] = ()
    mark: str = ""


def cause_rows(rules: RuleBase, assessed: Assessed, most: int) -> list[CauseRow]:
    """The likeliest causes that bear on the complaint and are neither found nor put right, at most
    so many."""
    ranking = assessed.assessment.ranking
    found = {fault.cause for fault in assessed.assessment.faults}
    index = assessed.assessment.model.network.cause_index
    return [
        CauseRow(
            rules.causes[item.cause].title,
            item.probability,
            tuple(float(belief.marginal[index[item.cause]]) for belief in assessed.trail),
            change_mark(assessed.moved_by(item.cause)),
        )
        for item in ranking.causes
        if item.relevant and not item.corrected and item.cause not in found
        if item.probability >= _WORTH_SHOWING
    ][:most]


def nothing_row(assessed: Assessed) -> tuple[str, str]:
    """That no listed cause is at work, and how likely that is; both empty once nothing is left to
    explain. It stands below the causes: it is what they leave over."""
    words = nothing_text(assessed.assessment)
    return (words, percent(assessed.assessment.ranking.nothing_listed)) if words else ("", "")


def found_lines(rules: RuleBase, assessed: Assessed) -> Iterator[str]:
    """What was found and is not put right: `FOUND Rear tyre pressure too high: 25 psi (13 psi)`."""
    for fault in assessed.assessment.faults:
        if not fault.put_right:
            title = rules.causes[fault.cause].title
            yield f"FOUND {title}: {shortly_shown(rules, fault, assessed.case)}"


def put_right_lines(rules: RuleBase, assessed: Assessed) -> list[str]:
    """The causes that were put right."""
    return [
        f"{rules.causes[item.cause].title}: put right"
        for item in causes_in_order(assessed.assessment)
        if item.corrected and item.relevant
    ]
