"""A trainer's own case from a file, and a lesson that is given again."""

from __future__ import annotations

from pathlib import Path

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.case.files import load_worked_cases
from diagnose.training.course.course import Teaching
from diagnose.training.course.course_lessons import (
    Lesson,
    another_customer,
    lesson_scenario,
    load_trainer_case,
)
from diagnose.training.customers.guide import Guide
from diagnose.training.desk import TrainingDesk
from diagnose.training.habits.trainees import Advised, work
from diagnose.training.play.encounter import Encounter
from diagnose.training.play.moves import HandBack
from diagnose.training.scoring.points import score
from rules.loading.pack_files import OFFROAD, WORKED_CASES
from rules.problems import FileProblems
from rules.rulebase import RuleBase

CASE = """\
case: 1
title: Dead in spring
story: It stood all winter with fuel in it. The tank smelt of varnish.
machine: {engine: petrol, size: small}
complaints: [no-start]
answers:
  stood-all-winter: "yes"
  tank-look: stale
truth: [stale-fuel]
teaches: Smell the tank before you pull the plug.
customer: Pulled my arm off and not a pop.
"""


def test_it_plays_with_the_customers_own_words(
    tmp_path: Path, mower_teaching: Teaching, mower_assessor: Assessor
) -> None:
    path = tmp_path / "spring.yaml"
    path.write_text(CASE)
    scenario, words = load_trainer_case(mower_teaching.rules, mower_teaching.guide, path)
    assert (scenario.id, scenario.truth.causes) == ("own:spring.yaml", ("stale-fuel",))
    assert (scenario.title, words) == ("Dead in spring", "Pulled my arm off and not a pop.")
    encounter = work(Encounter(mower_assessor, mower_teaching.guide, scenario), Advised())
    assert score(encounter).behind == ("stale-fuel",)
    again, _ = load_trainer_case(mower_teaching.rules, mower_teaching.guide, path)
    assert again == scenario


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("[stale-fuel]", "[stale-fuels]", "spring.yaml:9:9: error[reference] at truth[0]: 'stale-fuels' is not a cause; did you mean 'stale-fuel'?"),
        ("engine: petrol", "engine: electric", ":9:9: error[truth] at truth[0]: this bike cannot have 'stale-fuel'; it needs engine: petrol"),
        ("[no-start]", "[vibration/deck]", ":5:14: error[truth] at complaints[0]: 'vibration/deck' is not made by 'stale-fuel', so nothing could cure it"),
        ("tank-look: stale", "tank-look: stales", "at answers.tank-look"),
        ("teaches: Smell the tank before you pull the plug.\n", "", "error[missing] at teaches: this key is required"),
        ("customer:", "costumer:", "at costumer: this key is not known here"),
        ("truth: [stale-fuel]", "truth: []", "at truth"),
        ("case: 1", "case: 1\nsource: hearsay", "'hearsay' is not a source"),
    ],
)  # fmt: skip
def test_a_mistake_is_named_with_file_line_and_field(
    tmp_path: Path, mower_teaching: Teaching, old: str, new: str, said: str
) -> None:
    path = tmp_path / "spring.yaml"
    assert old in CASE
    path.write_text(CASE.replace(old, new, 1))
    with pytest.raises(FileProblems) as caught:
        load_trainer_case(mower_teaching.rules, mower_teaching.guide, path)
    assert said in str(caught.value)


def test_a_lesson_comes_again_with_another_customer_of_the_same_kind(desk: TrainingDesk) -> None:
    """The answer read after the first try is of no use in the second, and the second goes on where
    it was left."""
    lesson = desk.course.lesson("dead-1")
    first = desk.begin_lesson("Ann", lesson)
    first.take(HandBack())
    second = desk.begin_lesson("Ann", lesson)
    assert second.attempt.begun.lesson == "dead-1"
    assert second.scenario.theme == first.scenario.theme == "fuel"
    assert set(second.scenario.truth.causes) != set(first.scenario.truth.causes)
    second.take(second.view().advised)
    again = desk.begin_lesson("Ann", lesson)
    assert again.scenario == second.scenario and len(again.steps) == 1
    again.take(HandBack())
    third = desk.begin_lesson("Ann", lesson)
    assert third.scenario.id not in (first.scenario.id, second.scenario.id)


def test_another_customer_for_a_worked_case_has_its_complaint(
    offroad: RuleBase, offroad_guide: Guide
) -> None:
    worked = load_worked_cases(offroad, OFFROAD / WORKED_CASES)
    lesson = Lesson("x", "unit", "Title", "It was this.", "worked:judder-into-corners", "Says so.")
    own = lesson_scenario(offroad, offroad_guide, lesson, worked)
    other = another_customer(offroad, offroad_guide, lesson, worked, 1, [frozenset({"none"})])
    made = lesson_scenario(offroad, offroad_guide, other, worked)
    assert made.complaints == own.complaints[:1] and made.truth.causes != own.truth.causes
    assert len(made.truth.causes) == len(own.truth.causes)
    assert not other.words and not other.teaches
