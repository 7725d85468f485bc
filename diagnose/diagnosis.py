"""An interview: a case, what is made of it, and the ways to go on from there."""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.advice.planning import Planner, Step
from diagnose.advice.pricing import Option, Plan
from diagnose.case.events import Case, Event
from diagnose.inference.posterior import DEFAULT_CAUSES_AT_ONCE, Belief, Model, Ranking
from rules.rulebase import RuleBase


@dataclass(frozen=True, slots=True)
class Assessment:
    """Everything the rule base makes of a case. `cautions` are those that rules have raised and
    that go with the step."""

    belief: Belief
    ranking: Ranking
    step: Step
    plan: Plan
    options: tuple[Option, ...]
    cautions: tuple[str, ...]


class Workshop:
    """A rule base ready for work. Build it once; it holds nothing about any case."""

    def __init__(self, rules: RuleBase, causes_at_once: int = DEFAULT_CAUSES_AT_ONCE) -> None:
        self.rules = rules
        self.model = Model(rules, causes_at_once)
        self.planner = Planner(self.model)

    def assess(self, case: Case) -> Assessment:
        """Rank the causes and choose the next step.

        Raises `ImpossibleEvidence` of `inference.posterior` and `EngineError` of `findings.engine`.
        """
        belief = self.model.believe(case)
        advice = self.planner.advise(belief)
        return Assessment(
            belief,
            self.model.rank(belief),
            advice.step,
            advice.plan,
            advice.options,
            self.planner.cautions(belief, advice.step),
        )


class Interview:
    """Moves a case forward one event at a time, and back again."""

    def __init__(self, workshop: Workshop, case: Case | None = None) -> None:
        self.workshop = workshop
        self._case = case or Case()
        self._assessment: Assessment | None = None

    @property
    def rules(self) -> RuleBase:
        """The rule base in use."""
        return self.workshop.rules

    @property
    def case(self) -> Case:
        """The case so far."""
        return self._case

    @case.setter
    def case(self, case: Case) -> None:
        self._case = case
        self._assessment = None

    @property
    def assessment(self) -> Assessment:
        """What is made of the case as it stands, worked out when first looked at."""
        if self._assessment is None:
            self._assessment = self.workshop.assess(self._case)
        return self._assessment

    def add(self, event: Event) -> None:
        """Something more is known or was done."""
        self.case = self._case.with_event(event)

    def back(self) -> bool:
        """Take the latest event or change of machine back; False where there is none."""
        earlier = self._case.without_last()
        if earlier is self._case:
            return False
        self.case = earlier
        return True
