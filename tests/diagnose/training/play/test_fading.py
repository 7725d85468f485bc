"""A technician works the first case and begins the next; what was shown earns and costs nothing."""

from __future__ import annotations

from dataclasses import replace

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.records.store.opening import open_memory
from diagnose.training.course.course import Teaching, load_teaching
from diagnose.training.course.course_lessons import lesson_scenario
from diagnose.training.customers.guide import Guide
from diagnose.training.customers.scenario import draw_scenario
from diagnose.training.desk import TrainingDesk
from diagnose.training.habits.trainees import Advised, work
from diagnose.training.play.encounter import Encounter
from diagnose.training.play.judging import Judge
from diagnose.training.play.moves import HandBack
from diagnose.training.scoring.points import score
from diagnose.training.scoring.score_document import score_document
from diagnose.training.words.encounter_words import shown_lines
from diagnose.training.words.review_words import worked_lines
from rules.language.courses import Fading
from rules.loading.pack_files import OFFROAD
from rules.rulebase import RuleBase
from tests.clocks import Ticking


def fading_desk(teaching: Teaching, calendar: Ticking) -> TrainingDesk:
    fading = Fading(shown=(1.0, 0.75), feedback=2, source=("made-up",))
    course = replace(teaching.course, fading=fading)
    desk = TrainingDesk(replace(teaching, course=course), open_memory(calendar))
    desk.trainees.add("Ann")
    return desk


def test_what_was_shown_has_its_why_and_earns_nothing(
    mower_assessor: Assessor, mower_guide: Guide
) -> None:
    case = draw_scenario(mower_assessor.rules, mower_guide, 28)
    encounter = Encounter(mower_assessor, mower_guide, case)
    alone = len(work(Encounter(mower_assessor, mower_guide, case), Advised()).steps)
    encounter.show(1.0)
    assert len(encounter.steps) == alone - 3 > 0
    assert all(step.shown for step in encounter.steps) and not encounter.finished
    lines = list(shown_lines(encounter))
    assert len(lines) == 1 + len(encounter.steps) and all("Why: " in line for line in lines[1:])
    encounter.take(HandBack())
    assert score(encounter).total == 0


def test_going_on_as_advised_after_it_earns_all(
    mower_assessor: Assessor, mower_guide: Guide
) -> None:
    case = draw_scenario(mower_assessor.rules, mower_guide, 28)
    encounter = Encounter(mower_assessor, mower_guide, case)
    encounter.show(0.5)
    assert score(work(encounter, Advised())).total == pytest.approx(100)


def test_the_first_customer_of_a_unit_is_worked_to_the_end_and_never_played(
    mower_teaching: Teaching, calendar: Ticking
) -> None:
    desk = fading_desk(mower_teaching, calendar)
    example = desk.standing("Ann").next_lesson
    assert example == desk.course.lesson("dead-1") and desk.standing("Ann").is_to_be_seen(example)
    worked = desk.worked_example(example)
    assert worked.finished and worked.proven and not desk.attempts.rows()
    assert worked.customer.words == (example.words,)
    told = [line for step in score_document(worked)["review"] for line in worked_lines(step, {})]
    assert sum(line.startswith("Why: ") for line in told) == len(worked.steps)
    desk.note_example("Ann", example)
    desk.note_example("Ann", example)
    seen = desk.standing("Ann")
    assert len(seen.trainee.entries) == 1 and not seen.is_to_be_seen(example)
    assert seen.next_lesson == desk.course.lesson("dead-2")
    other = desk.begin_lesson("Ann", example)
    assert not other.steps and other.customer.words != worked.customer.words
    assert set(other.scenario.truth.causes) != set(worked.scenario.truth.causes)
    assert other.scenario.title == "Another customer, for the lesson 'Dead again'"


def test_the_next_lesson_is_begun_and_one_after_those_is_alone(
    mower_teaching: Teaching, calendar: Ticking
) -> None:
    desk = fading_desk(mower_teaching, calendar)
    first = desk.begin_lesson("Ann", desk.course.lesson("dead-2"))
    begun = len(first.steps)
    assert first.feedback and all(step.shown for step in first.steps)
    first.take(first.view().advised)
    again = desk.begin_lesson("Ann", desk.course.lesson("dead-2"))
    assert [step.shown for step in again.steps] == [True] * begun + [False]
    again.take(HandBack())
    other = desk.begin_lesson("Ann", desk.course.lesson("dead-2"))
    assert not other.steps


@pytest.mark.long
def test_every_example_of_the_shipped_course_ends_with_its_proof(offroad: RuleBase) -> None:
    desk = TrainingDesk(load_teaching(offroad, (OFFROAD,)), open_memory(Ticking()))
    examples = [unit.lessons[0] for unit in desk.course.units]
    assert all(desk.course.is_example(lesson) for lesson in examples)
    for lesson in examples:
        worked = desk.worked_example(lesson)
        assert isinstance(worked.steps[-1].move, HandBack) and worked.proven, lesson.id
        assert len(worked.steps) <= 14, lesson.id  # one that is longer tires before it teaches


@pytest.mark.long
def test_every_lesson_of_the_shipped_course_can_be_worked_to_its_proof(offroad: RuleBase) -> None:
    teaching = load_teaching(offroad, (OFFROAD,))
    judge = Judge.of(Assessor(offroad), teaching.guide)
    for lesson in teaching.course.lessons:
        case = lesson_scenario(offroad, teaching.guide, lesson, teaching.course.worked)
        encounter = Encounter(judge.assessor, teaching.guide, case, judge=judge)
        encounter.go_on_as_advised()
        assert encounter.finished and encounter.proven, lesson.id
