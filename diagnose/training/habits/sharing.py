"""A judge for several habits on one case: what one of them has met is not worked out again."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass, field
from typing import Self

from diagnose.advice.assessor import Assessor
from diagnose.advice.pricing import Pricer
from diagnose.case.events import Case, Event, Standing
from diagnose.diagnosis import Diagnosis
from diagnose.findings.concluding import Findings, FindingsEngine
from diagnose.inference.evidence import Evidence
from diagnose.inference.posterior import Chances, Model
from diagnose.inference.terms import Flags
from diagnose.training.customers.guide import Guide
from diagnose.training.play.judging import Judge, View
from rules.rulebase import RuleBase

Events = tuple[Event, ...]


class _RememberedFindings(FindingsEngine):
    """Draws conclusions without the rule engine, once for each state of one case.

    Evidence is gathered anew from every state before a correction, so most are asked for again.
    """

    def __init__(self, rules: RuleBase) -> None:
        super().__init__(rules, plainly=True)
        self.known: dict[Events, Findings] = {}

    def conclude(self, case: Case, now: Standing | None = None) -> Findings:
        """See `FindingsEngine.conclude`."""
        if case.events not in self.known:
            self.known[case.events] = super().conclude(case, now)
        return self.known[case.events]


class _RememberedModel(Model):
    """Weighs the same evidence once, in whatever order it was found."""

    def __init__(self, rules: RuleBase, findings: FindingsEngine) -> None:
        super().__init__(rules, findings)
        self.known: dict[tuple[frozenset[Evidence], bytes], Chances] = {}

    def weigh(self, evidence: Iterable[Evidence], applies: Flags) -> Chances:
        """See `Model.weigh`."""
        found = tuple(evidence)
        key = frozenset(found), applies.tobytes()
        if key not in self.known:
            self.known[key] = super().weigh(found, applies)
        return self.known[key]


@dataclass(frozen=True, slots=True)
class SharingJudge(Judge):
    """A judge who remembers one case: its bike, its customer and every state met so far.

    `forget` stands before every other case.
    """

    findings: _RememberedFindings
    model: _RememberedModel
    views: dict[Events, View] = field(default_factory=dict)

    @classmethod
    def on(cls, rules: RuleBase, guide: Guide) -> Self:
        """A judge for cases of this rule base."""
        findings = _RememberedFindings(rules)
        model = _RememberedModel(rules, findings)
        return cls(Assessor(rules, model), guide, Pricer(model), findings, model)

    def forget(self) -> None:
        """Begin another case."""
        self.views.clear()
        self.findings.known.clear()
        self.model.known.clear()

    def view(self, diagnosis: Diagnosis, told: Collection[str] = ()) -> View:
        """See `Judge.view`; whoever stands where another stood sees the same."""
        events = diagnosis.case.events
        if events not in self.views:
            self.views[events] = Judge.view(self, diagnosis, told)
        return self.views[events]
