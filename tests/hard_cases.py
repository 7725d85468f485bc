"""Simulated bikes with three or four faults, asked until a dozen findings are positive."""

from __future__ import annotations

import bisect
from dataclasses import replace

import numpy as np

from diagnose.case.events import Case
from diagnose.inference import recursion
from diagnose.inference.evidence import Question
from diagnose.inference.posterior import Belief, ImpossibleEvidence, Model
from diagnose.inference.terms import Floats, connected
from diagnose.simulation.simulated_bike import SimulatedBike, draw_truth


def hard_belief(model: Model, seed: int, positives: int = 12) -> Belief:
    """What is made of the bike once so many positive findings hang together.

    The faults of two drawn bikes are put together, and more drawn until there are enough positives.
    """
    for further in range(seed, seed + 5000, 500):
        belief = _asked(model, seed, further, positives)
        if belief is not None:
            return belief
    raise AssertionError(f"bike {seed} has no {positives} positive findings")


def hard_question(model: Model, seed: int, positives: int = 12) -> Question:
    """The same as a question."""
    belief = hard_belief(model, seed, positives)
    return model.weigher.question(belief.evidence, belief.applies)


def by_recursion(question: Question) -> Floats:
    """Chance of each cause by the recursion, one group that hangs together after the other."""
    marginal = question.odds / (1 + question.odds)
    for group, reach in connected(question.odds, question.pieces):
        linked = np.where(reach, question.odds, 0.0)
        marginal[reach] = recursion.marginals(linked, group)[0][reach]
    return np.asarray(marginal)


def _asked(model: Model, seed: int, further: int, positives: int) -> Belief | None:
    drawn = [draw_truth(model.rules, number) for number in range(further, further + 6)]
    causes = dict.fromkeys(cause for truth in drawn for cause in truth.causes)
    truth = replace(drawn[0], causes=tuple(causes)[: 4 if positives <= 12 else 6])
    bike = SimulatedBike(model.rules, truth, seed)
    # nothing is looked up: what is found by the manual is raised to the trust in its reading
    asked = [name for name, entry in model.rules.observations.items() if entry.enters is None]
    order = np.random.default_rng(seed).permutation(asked)
    answers = [bike.answer(str(name)) for name in order]

    def after(count: int) -> Belief:
        return model.believe(Case(truth.machine, {}, (truth.complaint, *answers[:count])))

    try:
        count = bisect.bisect_left(
            range(len(answers) + 1), positives, key=lambda n: _largest(model, after(n))
        )
        belief = after(count)
    except ImpossibleEvidence:
        return None
    return belief if _largest(model, belief) == positives else None


def _largest(model: Model, belief: Belief) -> int:
    """How many findings hang together."""
    question = model.weigher.question(belief.evidence, belief.applies)
    return max(len(group) for group, _ in connected(question.odds, question.pieces))
