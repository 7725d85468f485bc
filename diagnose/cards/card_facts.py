"""A case, its assessment and its bike, with the questions that every section of a card asks."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from diagnose.advice.assessor import Assessment
from diagnose.case.events import Case, RideReport, standing
from diagnose.records.bikes.bike import Bike
from diagnose.records.cases.case_book import KeptCase
from diagnose.records.cases.closing import cause_behind, cured
from diagnose.records.cases.entries import Cured
from diagnose.records.cases.fitting import fitted
from diagnose.records.cases.proof import Outcome, helped, judge
from rules.language.schema import Correction
from rules.rulebase import RuleBase

_GONE: tuple[Outcome, ...] = ("proven", "proven-together", "not-separable")


@dataclass(frozen=True, slots=True)
class PutRight:
    """A correction that helped or mended what was found, the best that the rides after it say, or
    None where none says that it helped, and the cause that it put right where that can be told."""

    correction: str
    report: RideReport | None
    cause: str | None


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
    def causes(self) -> tuple[str, ...]:
        """Ids of the causes that were put right or that the case was closed on, in the order they
        were put right, as far as the rule base knows them."""
        closed = self.kept.folded.closed
        named = [one.cause for one in self.put_right]
        named += [closed.cause if closed else None, *(one.cause for one in self.proven)]
        return tuple(dict.fromkeys(c for c in named if c is not None and c in self.rules.causes))

    @property
    def proven(self) -> tuple[Cured, ...]:
        """What rides have proven, whether the case is closed yet or not; causes that the rule base
        does not know any more are left out."""
        closed = self.kept.folded.closed
        if closed is None:
            verdict = judge(self.rules, self.case)
            return cured(self.rules, self.kept, verdict) if verdict.outcome == "proven" else ()
        if closed.outcome != "proven":
            return ()
        return tuple(
            one if one.cause in self.rules.causes else one.model_copy(update={"cause": None})
            for one in closed.cured
        )

    @property
    def is_settled(self) -> bool:
        """Whether every complaint is gone, so that nothing is left to find."""
        closed = self.kept.folded.closed
        return (closed.outcome if closed else judge(self.rules, self.case).outcome) in _GONE

    @property
    def shares_credit(self) -> bool:
        """Whether a complaint went away over more than one correction."""
        return bool(judge(self.rules, self.case).helped)

    @property
    def put_right(self) -> tuple[PutRight, ...]:
        """All that a ride says has helped, that mended what was found or that made the bike safe
        and was ridden, in the order it was done, whether anything is left to find or not."""
        known = {one.correction: one.cause for one in self.proven}
        reports = helped(self.rules, self.case)
        mended = {
            self.rules.causes[fault.cause].correction
            for fault in self.assessment.faults
            if fault.put_right
        } | {cause.correction for cause in self.rules.causes.values() if cause.unsafe}
        now = standing(self.case)
        mended &= set(now.rides[-1].corrected if now.rides else ())
        return tuple(
            PutRight(name, reports.get(name), known.get(name) or self._cause_behind(name))
            for name in dict.fromkeys(now.corrections)
            if name in reports or name in mended
        )

    def _cause_behind(self, correction: str) -> str | None:
        """The cause that a correction put right: as known before the work, else as found."""
        known = cause_behind(self.rules, self.kept, correction)
        found = [
            fault.cause
            for fault in self.assessment.faults
            if fault.put_right and self.rules.causes[fault.cause].correction == correction
        ]
        return known or (found[0] if len(found) == 1 else None)

    def corrections(self) -> dict[str, Correction]:
        """All that helped, in the order it was done, and what the case closed on, else the last
        done, else the first planned."""
        closed = self.kept.folded.closed
        done = standing(self.case).corrections
        plan = self.assessment.plan.corrections
        named = [closed.correction if closed else None, *done[-1:], *plan[:1]]
        last = next((name for name in named if name and name in self.rules.corrections), None)
        names = [*(one.correction for one in self.put_right), *([last] if last else [])]
        return {name: self.rules.corrections[name] for name in names}
