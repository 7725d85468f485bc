"""Trainees and their cases in the store: kept step by step, whatever happens."""

from __future__ import annotations

import os
import signal
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import select

from diagnose.advice.assessor import Assessor
from diagnose.records.store.opening import open_memory
from diagnose.records.store.store_problems import Clash, NotFound, StoreProblem, UnwritableStore
from diagnose.records.store.tables import ATTEMPT_ENTRIES, TRAINEE_ENTRIES
from diagnose.training.course.course import Teaching
from diagnose.training.desk import TrainingDesk
from diagnose.training.habits.trainees import Advised, AtRandom, work
from diagnose.training.play.encounter import Encounter
from diagnose.training.play.moves import Correct, HandBack, Move, Observe, RideMove
from diagnose.training.records.attempts import AttemptBook
from diagnose.training.records.kept_encounter import KeptEncounter, RulesChanged
from diagnose.training.records.results import read_result, result_of, write_result
from diagnose.training.records.store_check import check_everything
from diagnose.training.records.trainee_entries import PutAway, UnitOpened
from rules.problems import BadInput

OpenDesk = Callable[[], TrainingDesk]
MOVES: tuple[Move, ...] = (
    Observe("tank-look"),
    Observe("plug-gap-reading"),
    Correct("new-plug", ("plug-worn",)),
    RideMove(),
)


def first_lesson(desk: TrainingDesk) -> KeptEncounter:
    return desk.begin_lesson("Ann", desk.course.lesson("dead-1"))


def test_every_step_is_in_the_store_before_anything_else_is_asked(open_desk: OpenDesk) -> None:
    desk = open_desk()
    desk.trainees.add("Ann")
    encounter = first_lesson(desk)
    assert encounter.customer.words == ("It is as dead as a stone.",)
    for number, move in enumerate(MOVES, 1):
        encounter.read_cautions(move)
        encounter.take(move)
        elsewhere = first_lesson(open_desk())
        assert len(elsewhere.steps) == number
        assert elsewhere.log() == encounter.log()
        assert elsewhere.case == encounter.case
        assert elsewhere.customer == encounter.customer


def test_a_finished_case_keeps_its_score_and_its_review(open_desk: OpenDesk) -> None:
    desk = open_desk()
    desk.trainees.add("Ann")
    encounter = work(first_lesson(desk), Advised())
    row = open_desk().attempts.rows(desk.trainees.read("ann"))[0]
    assert row.result is not None and row.result.passed and row.result.groups == ("fuel",)
    document = open_desk().attempts.read(row.id).document
    assert document is not None
    assert [step["number"] for step in document["review"]] == [s.number for s in encounter.steps]
    again = Encounter.replay(desk.assessor, desk.guide, encounter.scenario, document["log"])
    assert again.case == encounter.case
    assert read_result(write_result(row.result), "here") == row.result
    assert result_of(desk.rules, document) == row.result
    # a new attempt at the same lesson is another case
    assert first_lesson(desk).attempt.id == row.id + 1


def test_a_hint_is_kept_before_it_is_seen_and_cannot_be_had_for_nothing(desk: TrainingDesk) -> None:
    encounter = first_lesson(desk)
    told = [encounter.hint().text, encounter.hint().text]
    again = first_lesson(desk)
    assert again.attempt.open_hints == 2
    third = again.hint()
    assert third.text not in told and third.grade == "step"
    again.take(Observe("tank-look"))
    assert [len(step.hints) for step in first_lesson(desk).steps] == [3]


def rows_of(desk: TrainingDesk) -> list[tuple[Any, ...]]:
    with desk.attempts.store.reading() as connection:
        return [
            *(tuple(row) for row in connection.execute(select(ATTEMPT_ENTRIES).order_by(ATTEMPT_ENTRIES.c.attempt_id, ATTEMPT_ENTRIES.c.seq))),
            *(tuple(row) for row in connection.execute(select(TRAINEE_ENTRIES).order_by(TRAINEE_ENTRIES.c.seq))),
        ]  # fmt: skip


@settings(
    max_examples=15,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(
    st.lists(st.sampled_from(["step", "hint", "leave", "lesson", "opened", "away"]), max_size=12)
)
def test_records_are_only_ever_added_to(
    mower_teaching: Teaching, calendar: Any, acts: list[str]
) -> None:
    desk = TrainingDesk(mower_teaching, open_memory(calendar))
    desk.trainees.add("Ann")
    encounter = first_lesson(desk)
    before = rows_of(desk)
    for number, act in enumerate(acts):
        if act == "leave" or encounter.finished:
            encounter = first_lesson(desk)
        elif act == "step":
            encounter.take(MOVES[number % 2])
        elif act == "hint":
            try:
                encounter.hint()
            except BadInput as error:
                assert "last hint" in str(error)
        elif act == "lesson":
            encounter.take(HandBack())
            desk.after_case("Ann")
        elif act == "opened":
            desk.trainees.append("Ann", [UnitOpened(pack="mower", unit="ride")])
        else:
            desk.trainees.append("Ann", [PutAway(archived=True)])
        after = rows_of(desk)
        kept = set(after)
        assert all(row in kept for row in before)
        before = after


def kill_at_random(desk_of: OpenDesk, steps: int) -> int:
    """A child that works on a lesson and tells how many steps it believes to be kept; killed after
    it has told of so many."""
    read_end, write_end = os.pipe()
    pid = os.fork()
    if pid == 0:
        try:
            os.close(read_end)
            encounter = first_lesson(desk_of())
            while not encounter.finished:
                move, _ = AtRandom(len(encounter.steps)).choose(encounter)
                try:
                    encounter.take(move)
                except BadInput:
                    encounter.take(RideMove())
                os.write(write_end, bytes([len(encounter.steps)]))
        finally:
            os._exit(0)
    os.close(write_end)
    told = 0
    with os.fdopen(read_end, "rb", buffering=0) as pipe:
        while told < steps and (said := pipe.read(1)):
            told = said[0]
        time.sleep(0.003 * (steps % 3))
        os.kill(pid, signal.SIGKILL)
        os.waitpid(pid, 0)
    return told


@pytest.mark.parametrize("steps", [1, 2, 4])
def test_a_killed_trainee_goes_on_after_the_last_step_told(open_desk: OpenDesk, steps: int) -> None:
    desk = open_desk()
    desk.trainees.add("Ann")
    desk.attempts.store.close()
    told = kill_at_random(open_desk, steps)
    after = open_desk()
    check_everything(after.attempts.store, after.rules)
    row = after.attempts.rows()[0]
    attempt = after.attempts.read(row.id)
    assert len(attempt.steps) >= told
    if row.result is None:
        assert len(first_lesson(after).steps) == len(attempt.steps)


def test_a_step_that_could_not_be_kept_is_kept_with_the_next(
    desk: TrainingDesk, monkeypatch: pytest.MonkeyPatch
) -> None:
    encounter = first_lesson(desk)
    encounter.take(MOVES[0])
    whole = AttemptBook.append

    def full(*args: object, **more: object) -> object:
        raise UnwritableStore("the disk is full, and nothing more was written")

    monkeypatch.setattr(AttemptBook, "append", full)
    with pytest.raises(StoreProblem, match="disk is full"):
        encounter.take(MOVES[1])
    with pytest.raises(StoreProblem, match="disk is full"):
        encounter.hint()
    assert len(first_lesson(desk).steps) == 1
    monkeypatch.setattr(AttemptBook, "append", whole)
    encounter.take(HandBack())
    attempt = desk.attempts.read(encounter.attempt.id)
    assert len(attempt.steps) == 3
    assert attempt.document is not None
    assert attempt.document["score"]["hints"] == 0


def test_two_terminals_on_one_case_do_not_overwrite_each_other(desk: TrainingDesk) -> None:
    one, other = first_lesson(desk), first_lesson(desk)
    one.take(MOVES[0])
    with pytest.raises(Clash, match="another terminal"):
        other.take(MOVES[1])
    assert first_lesson(desk).case == one.case


def test_a_case_begun_with_another_rule_base_is_begun_anew(
    desk: TrainingDesk, monkeypatch: pytest.MonkeyPatch
) -> None:
    encounter = first_lesson(desk)
    encounter.take(MOVES[0])
    row = desk.attempts.read(encounter.attempt.id)
    from diagnose.training.records import kept_encounter as records_keeping

    monkeypatch.setattr(records_keeping, "result_text", lambda rules, taken: "otherwise")
    with pytest.raises(RulesChanged, match="changed since"):
        records_keeping.resume(desk.assessor, desk.guide, encounter.scenario, desk.attempts, row)
    monkeypatch.undo()
    assert first_lesson(desk).attempt.id == encounter.attempt.id
    monkeypatch.setattr(records_keeping, "result_text", lambda rules, taken: "otherwise")
    assert first_lesson(desk).attempt.id == encounter.attempt.id + 1


@pytest.mark.parametrize("name", ["", "   ", "x" * 61, "a\x1b[31m"])
def test_a_trainee_needs_a_name(desk: TrainingDesk, name: str) -> None:
    with pytest.raises(BadInput, match="is not a name"):
        desk.trainees.add(name)


def test_trainees_are_found_by_name_in_any_case_and_none_twice(desk: TrainingDesk) -> None:
    desk.trainees.add("Bo  Ek")
    assert desk.trainees.read("bo EK").name == "Bo Ek"
    with pytest.raises(BadInput, match="already"):
        desk.trainees.add("ANN")
    with pytest.raises(NotFound, match="did you mean 'Bo Ek'"):
        desk.trainees.read("Bo Eck")
    desk.trainees.append("Bo Ek", [PutAway(archived=True)])
    assert [t.name for t in desk.trainees.everybody()] == ["Ann"]
    assert [t.name for t in desk.trainees.everybody(archived=True)] == ["Ann", "Bo Ek"]
    desk.trainees.append("bo ek", [PutAway(archived=False)])
    assert [t.name for t in desk.trainees.everybody()] == ["Ann", "Bo Ek"]


def test_a_locked_unit_says_what_opens_it_and_opens_when_that_is_done(desk: TrainingDesk) -> None:
    locked = desk.course.lesson("any-1")
    with pytest.raises(BadInput, match="'Look into the tank' needs 1 lesson with 70 points"):
        desk.begin_lesson("Ann", locked)
    work(first_lesson(desk), Advised())
    assert [unit.id for unit in desk.after_case("Ann")] == ["ride"]
    assert desk.after_case("Ann") == []
    assert desk.trainees.read("Ann").opened("mower") == {"look", "ride"}
    assert desk.begin_lesson("Ann", locked).scenario.id == "3"
    assert desk.standing("Ann").next_lesson == locked


def test_what_is_due_is_played_and_its_gap_grows(desk: TrainingDesk, calendar: Any) -> None:
    first_lesson(desk).take(HandBack())
    missed = desk.standing("Ann")
    assert missed.due(calendar.moment) == []
    calendar.sleep(1.1)
    waiting = desk.standing("Ann").due(calendar.moment)
    lesson = next(r.item for r in waiting if r.item.kind == "lesson")
    encounter = desk.begin_repeat("Ann", lesson)
    work(encounter, Advised())
    assert encounter.attempt.begun.lesson == "dead-1"
    after = {r.item: r.gap for r in desk.standing("Ann").repeats}
    assert after[lesson] > 1
    group = next(r.item for r in waiting if r.item.kind == "group")
    drawn = desk.begin_repeat("Ann", group)
    assert {desk.rules.causes[c].group for c in drawn.scenario.truth.causes} >= {group.id}


def test_a_damaged_record_is_named(open_desk: OpenDesk, tmp_path: Path) -> None:
    import sqlite3

    desk = open_desk()
    desk.trainees.add("Ann")
    first_lesson(desk).take(MOVES[0])
    desk.attempts.store.close()
    with sqlite3.connect(tmp_path / "store.sqlite") as raw:
        raw.execute(
            'UPDATE attempt_entries SET body = \'{"format": 1, "kind": "stepped"}\' WHERE seq = 2'
        )
    raw.close()
    broken = open_desk()
    with pytest.raises(StoreProblem, match="entry 2 of training case 1 is not as it should be"):
        broken.attempts.read(1)
    with pytest.raises(StoreProblem, match="entry 2 of training case 1"):
        check_everything(broken.attempts.store, broken.rules)


def test_the_workshop_is_made_once(desk: TrainingDesk, mower_assessor: Assessor) -> None:
    assert desk.assessor is desk.assessor
    assert desk.assessor.rules is mower_assessor.rules
