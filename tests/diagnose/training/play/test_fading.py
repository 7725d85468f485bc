"""A technician begins, the trainee goes on; what was shown earns and costs nothing."""

from __future__ import annotations

from dataclasses import replace

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.records.store.opening import open_memory
from diagnose.training.course.course import Teaching
from diagnose.training.customers.guide import Guide
from diagnose.training.customers.scenario import draw_scenario
from diagnose.training.desk import TrainingDesk
from diagnose.training.habits.trainees import Advised, work
from diagnose.training.play.encounter import Encounter
from diagnose.training.play.moves import HandBack
from diagnose.training.scoring.points import score
from diagnose.training.words.encounter_words import shown_lines
from rules.language.courses import Fading
from tests.clocks import Ticking


def fading_desk(teaching: Teaching, calendar: Ticking) -> TrainingDesk:
    fading = Fading(shown=(1.0,), feedback=1, source=("made-up",))
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


def test_the_first_lessons_of_a_unit_are_begun_and_the_last_is_alone(
    mower_teaching: Teaching, calendar: Ticking
) -> None:
    desk = fading_desk(mower_teaching, calendar)
    first = desk.begin_lesson("Ann", desk.course.lesson("dead-1"))
    alone = desk.begin_lesson("Ann", desk.course.lesson("dead-2"))
    assert first.feedback and not alone.feedback and not alone.steps
    begun = len(first.steps)
    assert all(step.shown for step in first.steps)
    first.take(first.view().advised)
    again = desk.begin_lesson("Ann", desk.course.lesson("dead-1"))
    assert [step.shown for step in again.steps] == [True] * begun + [False]
    again.take(HandBack())
    other = desk.begin_lesson("Ann", desk.course.lesson("dead-1"))
    assert not other.steps
