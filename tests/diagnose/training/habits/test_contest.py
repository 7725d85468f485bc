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
    misjudged,
    run_contest,
    standings,
)
from diagnose.training.habits.trainees import MOST_MOVES, work
from diagnose.training.play.encounter import Encounter
from diagnose.training.play.moves import Observe
from rules.loading.pack_files import OFFROAD
from rules.problems import BadInput
from tests.places import MOWER

LESSON, EXAM = 70.0, 75.0


@pytest.mark.long
def test_habits_get_what_they_deserve_on_the_shipped_pack(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Luck, guessing and doing nothing fail lesson and exam, the advised order passes both."""
    from tui.training.plain.contest_lines import contest_lines

    table = standings(run_contest((OFFROAD,), range(2000)), EXAM)
    with capsys.disabled():
        print("\n" + "\n".join(contest_lines(table, LESSON, EXAM)))
    assert misjudged(table, LESSON, EXAM) == []
    totals = {row.habit: row.total for row in table}
    assert totals["nothing"].high < 10
    assert totals["likeliest"].high < totals["slips"].low < totals["advised"].low


@pytest.mark.long
def test_luck_and_doing_nothing_do_not_pass_where_the_advice_does() -> None:
    cases = [bouts(ContestJob((OFFROAD,), seed, None, None)) for seed in range(3)]
    table = {row.habit: row for row in standings(cases, EXAM)}
    assert table["nothing"].total.high < 10
    assert table["lucky"].passed == 0 and table["lucky"].proven.mean > 0
    assert table["advised"].total.low > EXAM


def test_every_habit_ends_its_case(mower_assessor: Assessor, mower_guide: Guide) -> None:
    for seed in range(15):
        scenario = draw_scenario(mower_assessor.rules, mower_guide, seed)
        for habit in HABITS:
            encounter = Encounter(mower_assessor, mower_guide, scenario)
            work(encounter, HABITS[habit].trainee(mower_guide, seed))
            assert encounter.finished
            assert len(encounter.steps) <= MOST_MOVES + 1


def test_a_checklist_is_gone_through_in_order(mower_assessor: Assessor, mower_guide: Guide) -> None:
    scenario = draw_scenario(mower_assessor.rules, mower_guide, 0)
    encounter = Encounter(mower_assessor, mower_guide, scenario)
    work(encounter, HABITS["checklist"].trainee(mower_guide, 0))
    made = [step.move.observation for step in encounter.steps if isinstance(step.move, Observe)]
    wanted = [n for n in mower_guide.checklist.observations if n not in scenario.told]
    assert [name for name in made if name in wanted][: len(wanted)] == wanted


@pytest.mark.long
def test_runs_repeat_and_are_plain_data() -> None:
    one = run_contest((MOWER,), range(4), "single")
    assert one == [bouts(ContestJob((MOWER,), seed, "single", None)) for seed in range(4)]
    document = contest_document(standings(one, EXAM), one, LESSON, EXAM)
    assert len(document["cases"]) == 4 and len(document["habits"]) == len(HABITS)


def test_a_level_that_makes_no_case_is_told_before_any_work() -> None:
    with pytest.raises(BadInput, match="not-suspension"):
        run_contest((MOWER,), range(3), "not-suspension")
