"""How far a rule base covers a table of symptoms and causes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from diagnose.advice.assessor import Assessor
from diagnose.authoring.complaint_odds import Odds, OddsBook
from diagnose.authoring.coverage_table import SymptomRow, SymptomTable
from diagnose.case.events import Complained, Event
from diagnose.inference.confirming import checks_by_cause
from diagnose.inference.evidence import nodes_of
from rules.rulebase import RuleBase

RAISED = 1.5
"""A cause that the symptom alone makes half as probable again is raised by it (our own measure)."""

UNMOVED = 1 + 1e-9
"""Less than this times as probable is rounding."""

Verdict = Literal["covered", "left out", "not known", "no path", "not raised", "cannot be checked"]
_BEST_FIRST: tuple[Verdict, ...] = ("covered", "cannot be checked", "not raised", "no path")


@dataclass(frozen=True, slots=True)
class Path:
    """What one way of telling the symptom makes of one cause.

    `words` is how strongly the cause by itself shows it, empty where it is not linked directly.
    """

    cause: str
    told: str
    words: str
    odds: Odds
    verdict: Verdict


@dataclass(frozen=True, slots=True)
class Covered:
    """A row and what the rule base makes of it; `path` is its best one, if there is any."""

    row: SymptomRow
    verdict: Verdict
    path: Path | None = None

    @property
    def is_gap(self) -> bool:
        """Whether something is missing in the rule base."""
        return self.verdict not in ("covered", "left out")


def cover(assessor: Assessor, table: SymptomTable) -> list[Covered]:
    """Every row of a table, held against the rule base of `assessor`."""
    desk = CoverDesk(assessor)
    return [desk.row(row) for row in table.rows]


class CoverDesk:
    """Looks rows up in one rule base."""

    def __init__(self, assessor: Assessor) -> None:
        self._rules: RuleBase = assessor.rules
        self._odds = OddsBook(assessor)
        self._links = {(link.cause, link.node): link for link in assessor.rules.links}
        self._checks = checks_by_cause(assessor.rules)

    def row(self, row: SymptomRow) -> Covered:
        """A row and its best path. Raises what `Assessor.assess` raises."""
        if row.left_out:
            return Covered(row, "left out")
        if row.missing:
            return Covered(row, "not known")
        paths = list(self._paths(row))
        best = min(paths, key=lambda p: (_BEST_FIRST.index(p.verdict), -p.odds.raised))
        return Covered(row, best.verdict, best)

    def _paths(self, row: SymptomRow) -> Iterator[Path]:
        for cause in row.causes:
            for telling in row.tellings:
                odds = self._odds.given(cause, telling)
                words = [
                    f"{self._rules.nodes[node].label(state)}: {word}"
                    for node in self._nodes(telling)
                    if (cause, node) in self._links
                    for state, word in self._links[(cause, node)].words.items()
                ]
                told = ", ".join(_name(event) for event in telling)
                yield Path(cause, told, "; ".join(words), odds, self._verdict(cause, odds))

    def _nodes(self, telling: tuple[Event, ...]) -> Iterator[str]:
        for event in telling:
            if isinstance(event, Complained):
                yield from nodes_of(self._rules, event)
            elif _name(event) in self._rules.nodes:
                yield _name(event)

    def _verdict(self, cause: str, odds: Odds) -> Verdict:
        if odds.raised <= UNMOVED:
            return "no path"
        if odds.raised < RAISED:
            return "not raised"
        return "covered" if self.can_be_checked(cause) else "cannot be checked"

    def can_be_checked(self, cause: str) -> bool:
        """Whether something other than a question can confirm it."""
        return any(
            node in self._rules.findings
            or self._rules.observations[node].kind not in ("history", "question")
            for node in self._checks[cause]
        )


def _name(event: Event) -> str:
    return event.key if isinstance(event, Complained) else getattr(event, "observation", "")
