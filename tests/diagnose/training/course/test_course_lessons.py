"""A trainer's own case from a file."""

from __future__ import annotations

from pathlib import Path

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.training.course.course import Teaching
from diagnose.training.course.course_lessons import load_trainer_case
from diagnose.training.habits.trainees import Advised, work
from diagnose.training.play.encounter import Encounter
from diagnose.training.scoring.points import score
from rules.problems import FileProblems

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
