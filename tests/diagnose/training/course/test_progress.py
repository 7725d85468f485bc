"""What attempts come to: units opened, means, and who is ready."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.records.store.opening import open_memory
from diagnose.training.certificate import facts_of, training_card
from diagnose.training.course.course import Teaching, load_teaching
from diagnose.training.course.exam import SittingResult
from diagnose.training.course.progress import Mean, newly_open, progress, readiness, unit_states
from diagnose.training.desk import TrainingDesk
from diagnose.training.records.attempts import AttemptRow
from diagnose.training.records.results import AttemptResult
from diagnose.training.records.trainee_book import Sitting, Trainee
from diagnose.training.records.trainee_entries import SittingBegun, UnitOpened
from rules.problems import BadInput
from rules.rulebase import RuleBase
from tests.clocks import Ticking

START = datetime(2026, 5, 1, 8, 0, tzinfo=UTC)
ANN = Trainee(1, "Ann", START, ())


@pytest.fixture(scope="module")
def shipped(offroad: RuleBase) -> Teaching:
    return load_teaching(offroad, ())


def row(
    number: int, total: float | None, lesson: str | None = None, failed: str = ""
) -> AttemptRow:
    done = None
    if total is not None:
        done = AttemptResult(
            total, total >= 70, failed, 30, 1.2, 0, {"right-cause": total / 100},
            ("no-fuel",), ("fuel",),
        )  # fmt: skip
    at = START + timedelta(minutes=number)
    return AttemptRow(number, 1, lesson or str(number), lesson, None, at, at, done)


@given(st.data())
def test_unlocking_never_goes_back(shipped: Teaching, data: st.DataObject) -> None:
    """Whatever is done next, and however badly, what was open stays open and what was done, done."""
    lessons = [lesson.id for unit in shipped.course.units[:3] for lesson in unit.lessons]
    scores = st.sampled_from([0.0, 69.9, 70.0, 100.0]) | st.floats(0, 100)
    steps = data.draw(
        st.lists(st.tuples(st.sampled_from(lessons), scores), min_size=1, max_size=40)
    )
    rows: list[AttemptRow] = []
    before_open: set[str] = set()
    before_done: set[str] = set()
    for number, (lesson, total) in enumerate(steps):
        rows.append(row(number, total, lesson))
        states = unit_states(shipped.course, ANN, "offroad", rows)
        now_open = {s.unit.id for s in states if s.is_open}
        now_done = {s.unit.id for s in states if s.is_done}
        assert before_open <= now_open
        assert before_done <= now_done
        before_open, before_done = now_open, now_done
    assert shipped.course.units[0].id in before_open


def test_what_was_opened_stays_open_when_the_course_asks_for_more(mower_teaching: Teaching) -> None:
    course = mower_teaching.course
    states = unit_states(course, ANN, "mower", [row(1, 90, "dead-1")])
    assert [s.is_open for s in states] == [True, True]
    assert newly_open(states, ANN, "mower") == ["look", "ride"]
    opened = Trainee(1, "Ann", START, ((UnitOpened(pack="mower", unit="ride"), START),))
    assert [s.is_open for s in unit_states(course, opened, "mower", [])] == [True, True]
    assert [s.is_open for s in unit_states(course, opened, "offroad", [])] == [True, False]
    assert [s.is_open for s in unit_states(course, ANN, "mower", [row(1, 69, "dead-1")])] == [
        True,
        False,
    ]


def test_an_open_case_counts_for_nothing() -> None:
    seen = progress([row(1, 80), row(2, None)])
    assert (seen.score.values, seen.passed) == ((80.0,), 1)
    assert seen.groups["fuel"].mean == pytest.approx(0.8)


@settings(max_examples=25)
@given(st.lists(st.floats(0, 100), max_size=30))
def test_an_interval_holds_the_mean_and_is_given_only_over_enough_cases(
    values: list[float],
) -> None:
    found = Mean(tuple(values))
    span = found.span()
    assert found.cases == len(values)
    assert (span is None) == (len(values) < 5)
    if span is not None:
        assert min(values) - 1e-9 <= span[0] <= found.mean + 1e-9
        assert found.mean - 1e-9 <= span[1] <= max(values) + 1e-9


def sat(scores: tuple[float | None, ...], ended: bool = True, failed: int = 0) -> SittingResult:
    begun = SittingBegun(pack="mower", exam="short", title="Short", cases=["a", "b"], pass_mark=60)
    return SittingResult(
        Sitting(1, begun, START, START if ended else None, False), scores, failed, 5, 30
    )


def test_who_is_ready_follows_the_thresholds_of_the_course(mower_teaching: Teaching) -> None:
    course = mower_teaching.course
    rows = [row(1, 90, "dead-1"), row(2, 90, "any-1"), row(3, 90)]
    states = unit_states(course, ANN, "mower", rows)
    passed = sat((70.0, 80.0))

    def lacks(rows: list[AttemptRow], *sittings: SittingResult) -> tuple[str, ...]:
        return readiness(course, unit_states(course, ANN, "mower", rows), sittings, rows).lacks

    assert readiness(course, states, [passed], rows).is_ready
    assert lacks(rows) == ("no exam sat",)
    assert lacks(rows, passed, sat((50.0, 60.0))) == ("last exam not passed",)
    assert lacks(rows, sat((70.0, None), ended=False)) == ("no exam sat",)
    assert lacks(rows, sat((70.0, 80.0), failed=1)) == ("last exam not passed",)
    assert lacks(rows[:2], passed) == ("2 of 3 cases done",)
    unsafe = [*rows, row(4, 0, failed="not safe"), row(5, 90), row(6, 90)]
    assert lacks(unsafe, passed) == (
        "mean of the last 3 is 60, not 70",
        "1 let out unsafe in the last 3",
    )
    assert lacks([row(1, 90, "dead-1"), row(2, 90), row(3, 90)], passed) == ("1 of 2 units done",)


def test_ready_means_scores_and_a_trainers_sign_off(
    mower_teaching: Teaching, calendar: Ticking
) -> None:
    course = mower_teaching.course
    look = replace(course.units[0], at_the_bike=("Looks into a tank.", "Pulls a plug."))
    wanted = course.ready.model_copy(update={"signed_off": True})
    teaching = replace(
        mower_teaching, course=replace(course, units=(look, *course.units[1:]), ready=wanted)
    )
    desk = TrainingDesk(teaching, open_memory(calendar))
    desk.trainees.add("Ann")

    def lacking() -> list[str]:
        return [lack for lack in desk.standing("Ann").ready.lacks if "signed off" in lack]

    assert lacking() == ["not signed off at a real bike: Look into the tank"]
    assert desk.sign_off("Ann", "look", "Demo Trainer", [2]) == ["Pulls a plug."]
    assert desk.standing("Ann").states[0].not_shown == ("Looks into a tank.",)
    desk.sign_off("Ann", "look", "Demo Trainer")
    assert not lacking()
    entry, at = desk.trainees.read("Ann").signed_off(desk.pack)[0]
    assert entry.by == "Demo Trainer" and at.year == 2026
    card = str(training_card(facts_of(desk, desk.standing("Ann"), at.date())))
    assert "Demo Trainer" in card and "Pulls a plug." in card
    for unit, by, numbers in (("look", " ", ()), ("look", "X", (3,)), ("ride", "X", ())):
        with pytest.raises(BadInput):
            desk.sign_off("Ann", unit, by, numbers)
