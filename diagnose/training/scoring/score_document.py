"""A finished case as one JSON document: scenario, score and review."""

from __future__ import annotations

from typing import Any

from diagnose.training.play.encounter import Encounter
from diagnose.training.play.moves import move_to_json
from diagnose.training.scoring.points import Score, ScoreMeasure, score
from diagnose.training.scoring.review import ReviewStep, review

FORMAT = 1


def score_document(encounter: Encounter) -> dict[str, Any]:
    """Everything about a case that is worth keeping, as plain data."""
    scenario = encounter.scenario
    return {
        "format": FORMAT,
        "pack": {
            "id": encounter.assessor.rules.info.id,
            "version": encounter.assessor.rules.info.version,
        },
        "scenario": {
            "id": scenario.id,
            "seed": scenario.seed,
            "level": scenario.level,
            "theme": scenario.theme,
            "complaints": [complained.key for complained in scenario.complaints],
            "machine": dict(scenario.truth.machine),
            "title": scenario.title,
            "teaches": scenario.teaches,
        },
        "customer": {
            "words": list(encounter.customer.words),
            "told": list(encounter.customer.told_lines),
        },
        "finished": encounter.finished,
        "score": _score(score(encounter)),
        "expected_minutes": {
            "advised": encounter.expected_at_start,
            "least_possible": None,  # format 1 has it; nobody knows it for a whole rule base
        },
        "review": [_step(step) for step in review(encounter)],
        "log": encounter.log(),
    }


def _score(result: Score) -> dict[str, Any]:
    return {
        "total": result.total,
        "passed": result.passed,
        "failed": result.failed,
        "minutes": result.minutes,
        "cost_ratio": result.cost_ratio,
        "hints": result.hints,
        "hint_points": result.hint_points,
        "guessed": list(result.guessed),
        "true_causes": list(result.true_causes),
        "behind": list(result.behind),
        "named": list(result.named),
        "measures": [_measure(item) for item in result.measures],
    }


def _measure(item: ScoreMeasure) -> dict[str, Any]:
    return {
        "id": item.id,
        "title": item.title,
        "value": item.value,
        "share": item.share,
        "points": item.points,
        "out_of": item.out_of,
        "meaning": item.meaning,
        "source": list(item.sources),
        "steps": list(item.steps),
    }


def _step(step: ReviewStep) -> dict[str, Any]:
    return {
        "number": step.number,
        "shown": step.shown,
        "move": move_to_json(step.move),
        "did": step.did,
        "result": step.result,
        "minutes": step.minutes,
        "parts_minutes": step.parts_minutes,
        "leading": [{"cause": cause, "probability": chance} for cause, chance in step.leading],
        "after": [{"cause": cause, "probability": chance} for cause, chance in step.after],
        "advised": {
            "kind": step.advised.kind,
            "target": step.advised.target,
            "text": step.advised_text,
            "why": step.advised_why,
            "constraint": step.advised.constraint,
        },
        "chosen_cost": step.chosen_cost,
        "advised_cost": step.advised_cost,
        "loss": step.loss,
        "faults": [{"kind": fault.kind, "text": fault.text} for fault in step.faults],
        "better": step.better,
        "harm": step.harm,
    }
