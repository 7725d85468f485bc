"""What the training screens list, and how it is found and drawn."""

from __future__ import annotations

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.training.course.course import load_teaching
from diagnose.training.course.course_lessons import lesson_scenario
from diagnose.training.play.encounter import Encounter
from diagnose.training.play.moves import Observe
from rules.loading.pack_files import OFFROAD
from tui.training.words.move_rows import move_rows, value_of
from tui.training.words.progress_lines import score_chart


def test_a_move_is_found_by_its_answers_and_by_riders_words(offroad_assessor: Assessor) -> None:
    """The case about a rattle: the word stands in no question."""
    rules = offroad_assessor.rules
    teaching = load_teaching(rules, (OFFROAD,))
    lesson = teaching.course.lesson("outside-first-1")
    case = lesson_scenario(rules, teaching.guide, lesson, teaching.course.worked)
    rows = move_rows(Encounter(offroad_assessor, teaching.guide, case))
    found = {row.value for row in rows if row.value and row.has(["rattle"])}
    assert not any("rattle" in entry.ask.lower() for entry in rules.observations.values())
    assert value_of(Observe("fork-guard-look")) in found
    assert value_of(Observe("front-spoke-tap")) in found
    assert len(found) < len(rows) / 4
    # lists of the listening vocabulary are no words
    assert not any(row.has(["bumps|front"]) for row in rows if row.value)


@pytest.mark.parametrize("fancy", [True, False])
def test_the_chart_tells_case_from_case_in_three_lines(fancy: bool) -> None:
    scores = [100.0, 92.0, 88.0, 75.0, 55.0, 95.0, 81.0, 78.0]
    drawn = score_chart(scores, 70, fancy=fancy, width=78, height=3)
    *columns, numbers, mean = drawn
    assert len(columns) == 3 and max(map(len, drawn)) <= 78
    assert numbers.split() == [f"{score:.0f}" for score in scores]
    assert mean == "Mean of the last 5: 77."
    marked = [row for row in columns if "pass mark 70" in row]
    assert len(marked) == 1
    # the one not passed stands lower than those beside it
    at = numbers.index("55")
    assert marked[0][at] in "─-" and marked[0][numbers.index("95")] not in "─-"
    # of many cases the latest are shown
    assert score_chart([0.0] * 40 + [99.0], 70, fancy=fancy, width=40, height=3)[3].endswith("99")
