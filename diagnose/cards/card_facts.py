"""A case, its assessment and its bike, with the questions that every section of a card asks."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from diagnose.advice.assessor import Assessment
from diagnose.case.events import Case, standing
from diagnose.records.bikes.bike import Bike
from diagnose.records.cases.case_book import KeptCase
from diagnose.records.cases.fitting import fitted
from diagnose.records.cases.proof import judge
from rules.language.schema import Correction
from rules.rulebase import RuleBase


@dataclass(frozen=True, slots=True)
class CardFacts:
    """What a card is made from. `bike` is None for one that is not kept."""

    rules: RuleBase
    kept: KeptCase
    assessment: Assessment
    bike: Bike | None
    today: date

    @property
    def case(self) -> Case:
        """The case without what this rule base does not know."""
        return fitted(self.rules, self.kept.case)

    @property
    def cause(self) -> str | None:
        """The id of the cause that the case was closed on, if the rule base knows it."""
        closed = self.kept.folded.closed
        known = (
            closed is not None and closed.cause is not None and closed.cause in self.rules.causes
        )
        return closed.cause if closed is not None and known else None

    @property
    def proven_by(self) -> str | None:
        """The correction that a ride has proven, whether the case is closed yet or not."""
        verdict = self.kept.folded.closed or judge(self.rules, self.case)
        return verdict.correction if verdict.outcome == "proven" else None

    def correction(self) -> tuple[str, Correction] | None:
        """(id, entry) of what it closed on, else of the last done, else of the first planned."""
        closed = self.kept.folded.closed
        done = standing(self.case).corrections
        plan = self.assessment.plan.corrections
        named = [closed.correction if closed else None, *done[-1:], *plan[:1]]
        for name in named:
            if name and name in self.rules.corrections:
                return name, self.rules.corrections[name]
        return None
