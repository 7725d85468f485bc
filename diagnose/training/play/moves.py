"""What a trainee can do, and the same as plain data."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from diagnose.advice.planning import OBSERVING, Step
from rules.problems import BadInput
from rules.rulebase import RuleBase


@dataclass(frozen=True, slots=True)
class Observe:
    """Ask, measure, look or feel on a ride."""

    observation: str


@dataclass(frozen=True, slots=True)
class Correct:
    """Commit to a diagnosis and carry its correction out. `causes` are those it is meant for."""

    correction: str
    causes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class RideMove:
    """Send the rider out to say how the complaint is now."""


@dataclass(frozen=True, slots=True)
class Recheck:
    """Make the checks of a contradiction once more; the answers stand."""

    rule: str


@dataclass(frozen=True, slots=True)
class HandOver:
    """Send the bike to a specialist, with what is suspected. The case ends."""

    causes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class HandBack:
    """Give the bike to the customer as finished. The case ends."""


Move = Observe | Correct | RideMove | Recheck | HandOver | HandBack


def move_of(rules: RuleBase, step: Step, likely: Mapping[str, float]) -> Move:
    """A step that was advised, as a move; `likely` holds the chance of each cause."""
    if step.kind in OBSERVING.values():
        return Observe(step.target)
    if step.kind == "correct":
        meant = [c for c, cause in rules.causes.items() if cause.correction == step.target]
        best = max(meant, key=lambda cause: (likely.get(cause, 0.0), cause))
        return Correct(step.target, (best,))
    if step.kind == "check-again":
        return Recheck(step.target)
    if step.kind == "confirm":
        return RideMove()
    if step.kind == "close":
        return HandBack()
    best = max(likely, key=lambda cause: (likely[cause], cause), default="")
    return HandOver((best,) if best and likely[best] > 0 else ())


def same_step(move: Move, step: Step) -> bool:
    """Whether the move does what the step says."""
    match move:
        case Observe(observation=name):
            return step.kind in OBSERVING.values() and step.target == name
        case Correct(correction=name):
            return step.kind == "correct" and step.target == name
        case Recheck(rule=name):
            return step.kind == "check-again" and step.target == name
        case RideMove():
            return step.kind == "confirm"
        case HandOver():
            return step.kind == "hand-over"
        case HandBack():
            return step.kind == "close"


def move_to_json(move: Move) -> dict[str, Any]:
    """The move as plain data."""
    match move:
        case Observe(observation=name):
            return {"do": "observe", "observation": name}
        case Correct(correction=name, causes=causes):
            return {"do": "correct", "correction": name, "causes": list(causes)}
        case Recheck(rule=name):
            return {"do": "recheck", "rule": name}
        case HandOver(causes=causes):
            return {"do": "hand-over", "causes": list(causes)}
        case RideMove():
            return {"do": "ride"}
        case HandBack():
            return {"do": "hand-back"}


def move_from_json(data: Mapping[str, Any]) -> Move:
    """The move that `move_to_json` wrote. Raises `BadInput`."""
    try:
        match data["do"]:
            case "observe":
                return Observe(str(data["observation"]))
            case "correct":
                return Correct(str(data["correction"]), tuple(map(str, data["causes"])))
            case "recheck":
                return Recheck(str(data["rule"]))
            case "hand-over":
                return HandOver(tuple(map(str, data.get("causes", ()))))
            case "ride":
                return RideMove()
            case "hand-back":
                return HandBack()
    except (KeyError, TypeError):
        pass
    raise BadInput(f"{data!r} is not a move")
