"""Training under a clock that was put back: no time below zero, nothing missed is lost."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from diagnose.training.course.exam import find_exam
from diagnose.training.course.repetition import Repeat, RepeatItem, due
from diagnose.training.desk import TrainingDesk
from diagnose.training.habits.trainees import Advised, work
from tests.clocks import Ticking

NOW = datetime(2026, 5, 1, 8, 0, tzinfo=UTC)


def test_an_exam_takes_no_time_rather_than_less(desk: TrainingDesk, calendar: Ticking) -> None:
    exam = find_exam(desk.teaching, "short")
    sitting = desk.begin_sitting("Ann", exam)
    while (case := desk.next_exam_case("Ann", sitting)) is not None:
        calendar.moment -= timedelta(days=20_000)
        work(case, Advised())
    desk.end_sitting("Ann", sitting)
    result = desk.standing("Ann").sat[0]
    assert result.complete
    assert result.minutes == 0


def test_steps_stay_in_their_order(desk: TrainingDesk, calendar: Ticking) -> None:
    sitting = desk.begin_sitting("Ann", find_exam(desk.teaching, "short"))
    case = desk.next_exam_case("Ann", sitting)
    assert case is not None
    for back in (True, False):
        calendar.moment += timedelta(days=-15_000 if back else 30_000)
        case.take(case.view().advised)
    again = desk.next_exam_case("Ann", sitting)
    assert again is not None
    assert len(again.attempt.steps) == 2
    assert [said.step for said in again.attempt.steps] == [said.step for said in case.attempt.steps]


def test_what_was_missed_under_a_clock_that_ran_ahead_comes_back_now() -> None:
    ahead = NOW + timedelta(days=27_000)
    missed = Repeat(RepeatItem("group", "fuel"), 1, ahead, ahead + timedelta(days=3), 3)
    learned = Repeat(RepeatItem("group", "spark"), 1, NOW, NOW + timedelta(days=3), 3)
    assert due([missed, learned], NOW + timedelta(hours=1)) == [missed]
