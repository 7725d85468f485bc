"""A rule base ready for work, and everything it makes of a case."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property

from diagnose.advice.planning import Planner, Step
from diagnose.advice.pricing import Option, Outlook, Plan
from diagnose.advice.reasons import CountedAgain
from diagnose.case.events import Case
from diagnose.inference.bans import Ban
from diagnose.inference.found_faults import FoundFault, found_faults
from diagnose.inference.posterior import Belief, Model, Ranking
from rules.rulebase import RuleBase


@dataclass(frozen=True)
class Assessment:
    """Everything the rule base makes of a case. `cautions` are those that rules have raised and
    that go with the step, `bans` why the bike must not be ridden, `outlook` what the options were
    priced on, None where there was nothing to price."""

    model: Model
    belief: Belief
    step: Step
    plan: Plan
    options: tuple[Option, ...]
    cautions: tuple[str, ...]
    bans: tuple[Ban, ...]
    outlook: Outlook | None = None

    @cached_property
    def faults(self) -> tuple[FoundFault, ...]:
        """What was found, by itself, put right since or not; but for what a count shows that is to
        be made once more."""
        found = found_faults(self.model, self.belief)
        if not isinstance(self.step.why, CountedAgain):
            return found
        return tuple(fault for fault in found if fault.shown_by.key != self.step.target)

    @property
    def expected_faults(self) -> float:
        """How many of the causes that matter are expected to be there still."""
        return float(self.belief.open_marginal.sum())

    @cached_property
    def worth(self) -> Mapping[str, float]:
        """Minutes that each open observation is expected to save beyond its own, by the best use of
        it."""
        best: dict[str, float] = {}
        for option in self.options:
            best[option.observation] = max(option.net, best.get(option.observation, option.net))
        return best

    @cached_property
    def ranking(self) -> Ranking:
        """Every cause with its reasons, worked out when first looked at."""
        return self.model.rank(self.belief)


class Assessor:
    """A rule base ready for work. Build it once; it holds nothing about any case. `model` may be
    given."""

    def __init__(self, rules: RuleBase, model: Model | None = None) -> None:
        self.rules = rules
        self.model = model or Model(rules)
        self.planner = Planner(self.model)

    def assess(self, case: Case) -> Assessment:
        """Weigh the causes and choose the next step.

        Raises `ImpossibleEvidence` of `inference.posterior` and `EngineError` of `findings.engine`.
        """
        belief = self.model.believe(case)
        advice = self.planner.advise(belief)
        cautions = self.planner.cautions(belief, advice.step)
        return Assessment(
            self.model,
            belief,
            advice.step,
            advice.plan,
            advice.options,
            cautions,
            advice.bans,
            advice.outlook,
        )

    def with_step(self, assessment: Assessment, step: Step) -> Assessment:
        """The same assessment with another step to take, and the cautions that go with that one."""
        cautions = self.planner.cautions(assessment.belief, step)
        return replace(assessment, step=step, cautions=cautions)
