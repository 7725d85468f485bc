"""What the model makes of a case a trainee stands in, and what each choice would cost there.

Expected minutes of a choice are those of making it now and then following the best plan (as
`advice.pricing` prices plans). What a choice throws away is that, less the same for the advised
step. Added up over a case, it is how much more the trainee's way is expected to cost than the best
one, lucky or not (the performance difference of two policies; Kakade and Langford, 2002, from
memory).
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from diagnose.advice.assessor import Assessment, Assessor
from diagnose.advice.pricing import Option, Outlook, Pricer
from diagnose.case.events import Case, Standing, standing
from diagnose.diagnosis import Diagnosis
from diagnose.inference.posterior import Belief, Ranking, nothing_left
from diagnose.training.customers.guide import Guide
from diagnose.training.play.moves import (
    Correct,
    HandBack,
    HandOver,
    Move,
    Observe,
    Recheck,
    RideMove,
    move_of,
    same_step,
)


@dataclass(frozen=True, slots=True)
class Judge:
    """An assessor and a guide at work on trainees' cases. Build it once."""

    assessor: Assessor
    guide: Guide
    pricer: Pricer

    @classmethod
    def of(cls, assessor: Assessor, guide: Guide) -> Judge:
        """A judge that works with this assessor and guide."""
        return cls(assessor, guide, Pricer(assessor.model))

    def view(self, diagnosis: Diagnosis, told: Collection[str] = ()) -> View:
        """What is made of a case in which the customer told these observations unasked. Raises as
        `Diagnosis.assess` does."""
        return View(self, diagnosis.case, diagnosis.assessment, told)


class View:
    """What is known in a case, and what each choice would cost now. Costs are minutes.

    `told` are the observations that the customer told unasked, so that nobody has found them.
    """

    def __init__(
        self, judge: Judge, case: Case, assessment: Assessment, told: Collection[str] = ()
    ) -> None:
        self.judge = judge
        self.told = frozenset(told)
        self.case = case
        self.now: Standing = standing(case)
        self.advice = assessment
        self.belief: Belief = assessment.belief

    @property
    def ranking(self) -> Ranking:
        """Causes with the evidence for and against each."""
        return self.advice.ranking

    @cached_property
    def chances(self) -> Mapping[str, float]:
        """Probability of each cause that matters and may still be there, likeliest first."""
        marginal = self.belief.open_marginal
        causes = self.judge.assessor.model.network.causes
        order = np.argsort(-marginal, kind="stable")
        return {causes[n]: float(marginal[n]) for n in order if marginal[n] > 0}

    @property
    def advised(self) -> Move:
        """The advised step, as a move."""
        return move_of(self.judge.assessor.rules, self.advice.step, self.chances)

    def is_advised(self, move: Move) -> bool:
        """Whether this is what would be advised."""
        return same_step(move, self.advice.step)

    @property
    def is_proven(self) -> bool:
        """Whether nothing is left but to hand the bike back."""
        return self.advice.step.kind == "close"

    # -- costs -----------------------------------------------------------------------------------

    @cached_property
    def best(self) -> float:
        """Expected minutes from here on as advised, or at best where trade order outranks it."""
        step = self.advice.step
        ruled = step.constraint in ("safety first", "one change at a time")
        if not ruled and step.kind not in ("check-again", "close", "complain"):
            return self.cost(self.advised)
        net = max((option.net for option in self.advice.options), default=0.0)
        return self._expected - max(net, 0.0)

    def cost(self, move: Move) -> float:
        """Expected minutes from here on with this move first."""
        match move:
            case Observe(observation=name):
                option = self.option(name)
                if option is not None:
                    return self._expected - option.net
                return self._expected + self.own_minutes(move)
            case Correct(correction=name):
                return self._after_correction(name)
            case RideMove() | Recheck():
                return self._expected + self.own_minutes(move)
            case HandOver() | HandBack():
                return self._hand_over + self._cured_by_found * self._hand_over

    def loss(self, move: Move) -> float:
        """Expected minutes this move throws away; 0 for the advised one.

        What was the better check before a look or a ride can still be made after it, so these throw
        away no more than their own minutes.
        """
        if self.is_advised(move) or isinstance(move, Recheck) or self.completes(move):
            return 0.0
        if self.is_proven:
            return self._hand_over if isinstance(move, HandOver) else self.own_minutes(move)
        if self.now.ride_due:
            return self._loss_before_ride(move)
        if isinstance(move, Correct) and self.was_seen(move.correction):
            return 0.0  # it has to be done whatever else is found
        lost = max(0.0, self.cost(move) - self.best)
        return min(lost, self.own_minutes(move)) if isinstance(move, Observe | RideMove) else lost

    def completes(self, move: Move) -> bool:
        """Whether it reads the manual's figure for the first time, beside which a reading is held
        that was made, or that is still to be made and would tell something."""
        if not isinstance(move, Observe) or move.observation in self.now.answers:
            return False
        entries = self.judge.assessor.rules.observations
        figure = entries[move.observation].enters
        if figure is None:
            return False
        beside = [name for name, entry in entries.items() if entry.target == figure]
        made = (self.now.answers[name] for name in beside if name in self.now.answers)
        return any(answer.reading is not None for answer in made) or any(
            self.tells_something(name) for name in beside
        )

    def own_minutes(self, move: Move) -> float:
        """Minutes the move itself takes, parts and attention included."""
        rules = self.judge.assessor.rules
        policy = rules.policy
        match move:
            case Observe(observation=name):
                return rules.observations[name].minutes + policy.attention_minutes
            case Correct(correction=name):
                entry = rules.corrections[name]
                return entry.minutes + policy.parts_minutes[entry.parts]
            case Recheck(rule=name):
                checks = rules.rules[name].then.check
                return sum(rules.observations[check].minutes for check in checks)
            case RideMove():
                return policy.ride_minutes
            case HandOver():
                return policy.minutes_to_hand_over()
            case HandBack():
                return 0.0 if self.is_proven else policy.minutes_to_hand_over()

    def option(self, observation: str) -> Option | None:
        """The best thing this observation is part of finding out, if it bears on anything."""
        if observation in self.now.answers:
            return None
        inputs = self.judge.assessor.model.findings.inputs
        parts = [
            option
            for option in self.advice.options
            if observation in (option.node, option.observation)
            or (
                option.node in inputs
                and observation in self.judge.pricer.observations_behind(inputs[option.node])
            )
        ]
        return max(parts, key=lambda option: (option.net, option.node), default=None)

    def needed(self, correction: str) -> float:
        """Probability that the correction is needed."""
        outlook = self._outlook
        if correction not in outlook.corrections:
            return 0.0
        return float(outlook.needed[outlook.corrections.index(correction)])

    def saves_blind(self, observation: str) -> float:
        """Minutes that knowing this is expected to save someone who would else put one suspect
        right after the other unchecked, its own minutes left aside."""
        blind = replace(self._outlook, checks=tuple(() for _ in self._outlook.corrections))
        inputs = self.judge.assessor.model.findings.inputs
        nodes = tuple(
            row
            for row in blind.open_nodes
            if row[0] == observation
            or (
                row[0] in inputs
                and observation in self.judge.pricer.observations_behind(inputs[row[0]])
            )
        )
        expected = self.judge.pricer.plan(blind).expected_minutes
        told = replace(blind, open_nodes=nodes)
        options = self.judge.pricer.options(self.belief, told, expected)
        return max((option.saves for option in options), default=0.0)

    def tells_something(self, observation: str) -> bool:
        """Whether some answer could change what to do next, for the plan or for someone who
        corrects unchecked. That a look for safety comes next whatever it shows does not make it
        useless, nor that a plan which makes this very check gains nothing by making it now."""
        option = self.option(observation)
        if option is None:
            return False
        scoring = self.judge.guide.scoring
        return (
            option.saves >= scoring.no_use_below
            or option.changes_first >= scoring.turns_from
            or self._is_of_plan(observation)
            or self.saves_blind(option.observation) >= scoring.no_use_below
        )

    def _is_of_plan(self, observation: str) -> bool:
        """Whether it is part of a check that the plan would make before one of its corrections."""
        outlook, inputs = self._outlook, self.judge.assessor.model.findings.inputs
        planned = set(self.advice.plan.corrections)
        return any(
            node == observation
            or (
                node in inputs
                and observation in self.judge.pricer.observations_behind(inputs[node])
            )
            for number, correction in enumerate(outlook.corrections)
            if correction in planned
            for _, node in outlook.checks_worth_making(number)
        )

    def was_seen(self, correction: str) -> bool:
        """Whether it puts right a fault that a check has shown and settled."""
        causes = self.judge.assessor.rules.causes
        settled = self.judge.assessor.rules.policy.settled
        return any(
            not fault.put_right
            and fault.chance >= settled
            and causes[fault.cause].correction == correction
            for fault in self.advice.faults
        )

    def check_saves(self, move: Move) -> float:
        """Minutes that the best open check, made before this move, is expected to save beyond its
        own; 0 if none does."""
        best = max((option.net for option in self.advice.options), default=-math.inf)
        return max(0.0, self.cost(move) - (self._expected - best))

    @property
    def likeliest(self) -> float:
        """Probability of the likeliest open cause."""
        return max(self.chances.values(), default=0.0)

    @property
    def _hand_over(self) -> float:
        return self.judge.assessor.rules.policy.minutes_to_hand_over()

    @property
    def _cured_by_found(self) -> float:
        """The chance that putting right what was found is all it takes. Plans count that as handed
        over in the end, since what was found is no suspect; so giving up before it costs as much
        more."""
        outlook = self._outlook
        if not outlook.found:
            return 0.0
        return float(outlook.weights[~outlook.holds.any(axis=1)].sum())

    @property
    def _expected(self) -> float:
        return self.advice.plan.expected_minutes

    @cached_property
    def _outlook(self) -> Outlook:
        return self.advice.outlook or self.judge.pricer.outlook(self.belief, self.now)

    def _after_correction(self, correction: str) -> float:
        """The work and its ride, then the best plan for what it has not put right."""
        rules = self.judge.assessor.rules
        own = self.own_minutes(Correct(correction, ())) + rules.policy.ride_minutes
        outlook = self._outlook
        if correction not in outlook.corrections:
            return own + self._expected
        number = outlook.corrections.index(correction)
        if number in outlook.found:  # it is made in any plan, and comes first here
            others = tuple(found for found in outlook.found if found != number)
            return own + self.judge.pricer.plan(replace(outlook, found=others)).expected_minutes
        holds = outlook.holds & (outlook.fix_of != number)
        cured = outlook.holds.any(axis=1) & ~holds.any(axis=1)
        weights = np.where(cured, 0.0, outlook.weights)
        left = float(weights.sum())
        if left <= 0:
            return own
        rest = self.judge.pricer.plan(replace(outlook, holds=holds, weights=weights / left))
        return own + left * rest.expected_minutes

    def _loss_before_ride(self, move: Move) -> float:
        """What is thrown away by not riding now: the work, if the bike is right already."""
        cured = nothing_left(self.belief)
        if isinstance(move, Correct):
            return cured * self.own_minutes(move)
        if isinstance(move, HandOver):
            return cured * self._hand_over
        if isinstance(move, HandBack):
            return (1 - cured) * self._hand_over
        return self.own_minutes(move)
