"""Habits that share what they have met score as they would alone."""

from __future__ import annotations

from diagnose.advice.assessor import Assessor
from diagnose.training.customers.guide import Guide
from diagnose.training.customers.scenario import draw_scenario
from diagnose.training.habits.contest import HABITS, ContestJob, bouts
from diagnose.training.habits.sharing import SharingJudge
from diagnose.training.habits.trainees import work
from diagnose.training.play.encounter import Encounter
from diagnose.training.scoring.points import score
from tests.places import MOWER


def test_shared_and_alone_come_to_the_same(mower_assessor: Assessor, mower_guide: Guide) -> None:
    for seed in range(3):
        shared = {bout.habit: bout for bout in bouts(ContestJob((MOWER,), seed, None, None))}
        for habit, note in HABITS.items():
            case = draw_scenario(mower_assessor.rules, mower_guide, seed)
            alone = work(
                Encounter(mower_assessor, mower_guide, case), note.trainee(mower_guide, seed)
            )
            assert shared[habit].steps == len(alone.steps), (seed, habit)
            assert abs(shared[habit].total - score(alone).total) < 1e-6, (seed, habit)


def test_a_state_that_was_met_is_not_assessed_again(
    mower_assessor: Assessor, mower_guide: Guide
) -> None:
    judge = SharingJudge.on(mower_assessor.rules, mower_guide)
    case = draw_scenario(mower_assessor.rules, mower_guide, 3)
    bike = case.bike(mower_assessor.rules)
    for _ in range(2):
        encounter = Encounter(
            judge.assessor, mower_guide, case, judge=judge, bike=bike.as_it_came()
        )
        encounter.go_on_as_advised()
        met = len(judge.views)
    assert met == len({step.before.events for step in encounter.steps})
    judge.forget()
    assert not judge.views and not judge.findings.known
