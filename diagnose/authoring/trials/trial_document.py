"""A trial as one JSON document, case by case."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from diagnose.authoring.trials.measures import (
    MEASURES,
    TrialMeasure,
    confusion,
    reliability_of,
    summarise,
)
from diagnose.authoring.trials.pack_comparison import PairedCases, changed, compare
from diagnose.authoring.trials.trial import TOLD, WHOLE, StackComparison, Trial
from diagnose.authoring.trials.working import CaseOutcome

FORMAT = 1


def trial_document(trial: Trial) -> dict[str, Any]:
    """Plain data; shares from 0 to 1, costs in minutes."""
    seeds = [f"seed {seed}" for seed in trial.seeds]
    names = [entry.name for entry in trial.told]
    return {
        "trial": FORMAT,
        "rule_base": trial.name,
        "simulated": {name: _policy(seeds, outcomes) for name, outcomes in trial.simulated.items()},
        WHOLE: _policy(names, [entry.ranked for entry in trial.told]),
        TOLD: _policy(names, [entry.retold for entry in trial.told]),
        "people": {
            person: {name: asdict(counts) for name, counts in found.items()}
            for person, found in trial.people.items()
        },
        "worked_cases_left_out": list(trial.skipped),
        "comparison": _comparison(trial.comparison) if trial.comparison else None,
    }


def _policy(names: Sequence[str], outcomes: Sequence[CaseOutcome]) -> dict[str, Any]:
    if not outcomes:
        return {"cases": []}
    return {
        "figures": {key: asdict(figure) for key, figure in summarise(outcomes).items()},
        "calibration": asdict(reliability_of(o.decision for o in outcomes)),
        "confusion": [asdict(pair) for pair in confusion(o.decision for o in outcomes)],
        "cases": [_case(name, o) for name, o in zip(names, outcomes, strict=True)],
    }


def _case(name: str, outcome: CaseOutcome) -> dict[str, Any]:
    return {
        "case": name,
        "true": list(outcome.truth.causes),
        "complaint": outcome.truth.complaint.key,
        "named": outcome.decision.named,
        **_measured(outcome, MEASURES),
    }


def _measured(outcome: CaseOutcome, measures: Sequence[TrialMeasure]) -> dict[str, float]:
    return {measure.key: round(measure.of(outcome), 6) for measure in measures}


def _comparison(comparison: StackComparison) -> dict[str, Any]:
    differences = [
        {
            "cases": entry.cases,
            "measure": entry.measure.key,
            **asdict(entry.difference),
            "better": entry.better,
            "worse": entry.worse,
            "same": entry.same,
            "chance": entry.chance,
            "adjusted": entry.adjusted,
            "more_than_noise": entry.is_more_than_noise,
            "matters": entry.matters,
        }
        for entry in compare(comparison.groups)
    ]
    return {
        "other": comparison.other,
        "differences": differences,
        "cases": {group.title: _pairs(group) for group in comparison.groups},
        "changed": {
            group.title: [asdict(change) for change in changed(group)]
            for group in comparison.groups
        },
        "cannot_read": {whose: list(names) for whose, names in comparison.untold.items()},
    }


def _pairs(group: PairedCases) -> list[dict[str, Any]]:
    return [
        {
            "case": name,
            "this": {"named": one.decision.named, **_measured(one, group.measures)},
            "other": {"named": two.decision.named, **_measured(two, group.measures)},
        }
        for name, one, two in zip(group.names, group.first, group.second, strict=True)
    ]
