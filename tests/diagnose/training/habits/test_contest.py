"""Simulated trainees: scores tell good habits from bad ones."""

from __future__ import annotations

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.training.customers.guide import Guide
from diagnose.training.customers.scenario import draw_scenario
from diagnose.training.habits.contest import (
    HABITS,
    ContestJob,
    bouts,
    contest_document,
    ranked_apart,
    run_contest,
    standings,
    trainee_named,
)
from diagnose.training.habits.trainees import MOST_MOVES, work
from diagnose.training.play.encounter import Encounter
from diagnose.training.play.moves import Observe
from rules.loading.pack_files import OFFROAD
from rules.problems import BadInput
from tests.places import MOWER


@pytest.mark.long
def test_habits_rank_on_another_machine_too() -> None:
    """On mowers five things are the whole of a checklist, so it is not told from greed there."""
    table = standings([bouts(ContestJob((MOWER,), seed, None, None)) for seed in range(40)])
    totals = {row.habit: row.total for row in table}
    assert totals["random"].high < min(totals["checklist"].low, totals["greedy"].low)
    assert max(totals["checklist"].high, totals["greedy"].high) < totals["advised"].low


@pytest.mark.long
def test_habits_rank_apart_on_the_shipped_pack(capsys: pytest.CaptureFixture[str]) -> None:
    from tui.training.plain.contest_lines import contest_lines

    table = standings(run_contest((OFFROAD,), range(60)))
    with capsys.disabled():
        print("\n" + "\n".join(contest_lines(table)))
    assert [row.habit for row in table] == ["random", "checklist", "greedy", "advised"]
    assert ranked_apart(table)


def test_every_habit_ends_its_case(mower_assessor: Assessor, mower_guide: Guide) -> None:
    for seed in range(15):
        scenario = draw_scenario(mower_assessor.rules, mower_guide, seed)
        for habit in HABITS:
            encounter = Encounter(mower_assessor, mower_guide, scenario)
            work(encounter, trainee_named(habit, mower_guide, seed))
            assert encounter.finished
            assert len(encounter.steps) <= MOST_MOVES + 1


def test_a_checklist_is_gone_through_in_order(mower_assessor: Assessor, mower_guide: Guide) -> None:
    scenario = draw_scenario(mower_assessor.rules, mower_guide, 0)
    encounter = Encounter(mower_assessor, mower_guide, scenario)
    work(encounter, trainee_named("checklist", mower_guide, 0))
    made = [step.move.observation for step in encounter.steps if isinstance(step.move, Observe)]
    wanted = [n for n in mower_guide.checklist.observations if n not in scenario.told]
    assert [name for name in made if name in wanted][: len(wanted)] == wanted


@pytest.mark.long
def test_runs_repeat_and_are_plain_data() -> None:
    one = run_contest((MOWER,), range(4), "single")
    assert one == [bouts(ContestJob((MOWER,), seed, "single", None)) for seed in range(4)]
    document = contest_document(standings(one), one)
    assert len(document["cases"]) == 4 and len(document["habits"]) == len(HABITS)


def test_a_level_that_makes_no_case_is_told_before_any_work() -> None:
    with pytest.raises(BadInput, match="not-suspension"):
        run_contest((MOWER,), range(3), "not-suspension")
