"""Policies at work on simulated bikes."""

from __future__ import annotations

import numpy as np

from diagnose.advice.assessor import Assessor
from diagnose.authoring.trials.working import ChecklistPolicy, ProgramPolicy, run_case
from diagnose.simulation.simulated_bike import draw_truth


def test_the_engine_beats_a_fixed_list_on_the_same_cases(mower_assessor: Assessor) -> None:
    checklist = ["hit-a-stone", "stood-all-winter", "tank-look", "plug-gap-reading", "spark-seen"]
    engine, fixed = [], []
    for seed in range(15):
        truth = draw_truth(mower_assessor.rules, seed)
        engine.append(run_case(mower_assessor, truth, seed, ProgramPolicy()))
        fixed.append(run_case(mower_assessor, truth, seed, ChecklistPolicy(checklist)))
    assert np.mean([o.minutes for o in engine]) < np.mean([o.minutes for o in fixed])
    assert np.mean([o.cured for o in engine]) > 0.7


def test_a_run_is_repeatable(mower_assessor: Assessor) -> None:
    truth = draw_truth(mower_assessor.rules, 4)
    assert run_case(mower_assessor, truth, 4, ProgramPolicy()) == run_case(
        mower_assessor, truth, 4, ProgramPolicy()
    )


def test_minutes_count_what_was_done(mower_assessor: Assessor) -> None:
    truth = draw_truth(mower_assessor.rules, 11)
    outcome = run_case(mower_assessor, truth, 11, ProgramPolicy())
    policy = mower_assessor.rules.policy
    least = outcome.observations * policy.attention_minutes + outcome.corrections * 3
    assert outcome.minutes >= least
