"""What a trainee thinks likely, scored against what could be known at that moment.

The measure is the model's probability then, never the hidden truth: a good guess that turns out
wrong stays a good guess (outcome bias; Baron and Hershey, 1988, from memory).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from diagnose.advice.assessor import Assessor
from diagnose.advice.foresight import outcomes
from diagnose.case.events import RIDE_REPORTS
from diagnose.case.events import Ride as RideFact
from diagnose.inference.evidence import Evidence, nodes_of
from diagnose.training.play.judging import View
from diagnose.training.play.moves import Move, Observe, RideMove, move_from_json, move_to_json
from rules.problems import BadInput
from rules.yaml_source import suggest

MOST_NAMED = 3


@dataclass(frozen=True, slots=True)
class Guess:
    """One to three causes, likeliest first, perhaps with probabilities (0 to 1), and perhaps the
    result expected of a move (an answer's state, or a ride report)."""

    causes: tuple[str, ...]
    probabilities: tuple[float, ...] = ()
    move: Move | None = None
    expects: str | None = None

    def to_json(self) -> dict[str, Any]:
        """The guess as plain data, for `from_json`."""
        return {
            "causes": list(self.causes),
            "probabilities": list(self.probabilities),
            "move": move_to_json(self.move) if self.move is not None else None,
            "expects": self.expects,
        }

    @classmethod
    def from_json(cls, data: Mapping[str, Any]) -> Guess:
        """What `to_json` wrote. Raises `KeyError`, `TypeError` or `BadInput` for anything else."""
        move = data["move"]
        return cls(
            tuple(map(str, data["causes"])),
            tuple(map(float, data["probabilities"])),
            move_from_json(move) if move is not None else None,
            data["expects"],
        )


@dataclass(frozen=True, slots=True)
class GuessScore:
    """How good a guess was.

    Attributes:
        share: probability of the causes named over that of as many of the likeliest (0 to 1).
        brier: mean squared difference of the stated probabilities and the model's, or None.
        concordance: chance of the expected result over that of the likeliest result, or None
            (script concordance with chances for votes; Charlin and others, 2000, from memory).
        leading: the model's likeliest causes then, with their probabilities.
        results: the chance of every result of the move, where one was named.
    """

    share: float
    brier: float | None
    concordance: float | None
    leading: tuple[tuple[str, float], ...]
    results: Mapping[str, float]


def score_guess(assessor: Assessor, view: View, guess: Guess) -> GuessScore:
    """Hold a guess against the view of the same moment. Raises `BadInput` for what is no guess."""
    _check(assessor, guess)
    chances = dict(view.chances)
    named = [chances.get(cause, 0.0) for cause in guess.causes]
    best = sum(sorted(chances.values(), reverse=True)[: len(named)])
    brier = None
    if guess.probabilities:
        brier = brier_score(guess.probabilities, named)
    results = chances_of_results(assessor, view, guess.move) if guess.move is not None else {}
    concordance = None
    if guess.expects is not None and results:
        if guess.expects not in results:
            known = ", ".join(results)
            raise BadInput(f"{guess.expects!r} is not a result of it; there are {known}")
        concordance = concordance_credit(results, guess.expects)
    leading = tuple(chances.items())[:MOST_NAMED]
    return GuessScore(sum(named) / best if best else 0.0, brier, concordance, leading, results)


def brier_score(stated: Sequence[float], held: Sequence[float]) -> float:
    """Mean squared difference (after Brier, 1950, from memory), against probabilities."""
    return float(np.mean((np.asarray(stated) - np.asarray(held)) ** 2))


def concordance_credit(votes: Mapping[str, float], answer: str) -> float:
    """Votes for the answer over votes for the best-backed one."""
    return votes[answer] / max(votes.values())


def chances_of_results(assessor: Assessor, view: View, move: Move) -> Mapping[str, float]:
    """The model's chance of every result of a move; empty where it has no say."""
    model = assessor.model
    if isinstance(move, Observe):
        if move.observation not in model.rules.nodes:
            return {}
        found = outcomes(model, view.belief, move.observation)
        return {outcome.state: outcome.chance for outcome in found}
    now = view.now
    if not isinstance(move, RideMove) or not now.ride_due:
        return {}
    about = now.asks_about
    if about is None:
        return {}
    nodes = nodes_of(model.rules, about)
    ridden = now.rides[-1].corrected if now.rides else ()
    masses = {}
    for report in RIDE_REPORTS:
        fact = RideFact(ridden, now.corrections, report, about)
        item = Evidence("ride", "ride", report, nodes, now.corrections, fact)
        told = model.weigh([*view.belief.evidence, item], view.belief.applies)
        masses[report] = told.log_mass
    top = max(masses.values())
    total = sum(math.exp(mass - top) for mass in masses.values())
    return {report: math.exp(mass - top) / total for report, mass in masses.items()}


def _check(assessor: Assessor, guess: Guess) -> None:
    causes = assessor.rules.causes
    if not 1 <= len(set(guess.causes)) == len(guess.causes) <= MOST_NAMED:
        raise BadInput(f"name one to {MOST_NAMED} different causes")
    for cause in guess.causes:
        if cause not in causes:
            raise BadInput(f"{cause!r} is not a cause{suggest(cause, list(causes))}")
    if guess.probabilities and len(guess.probabilities) != len(guess.causes):
        raise BadInput("give a probability for each cause, or none")
    if any(not 0 <= p <= 1 for p in guess.probabilities):
        raise BadInput("a probability lies between 0 and 1")
