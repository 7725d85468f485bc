"""Memory over many workshops, cases and relearnings. Run by name: pytest tests/bench -n 0 -s."""

from __future__ import annotations

import gc
from collections.abc import Callable

import psutil
import pytest

from diagnose.advice.assessor import Assessor
from diagnose.case.events import Answered, Case, Complained
from diagnose.diagnosis import Diagnosis
from diagnose.records.learning.learned import learn
from diagnose.records.learning.lessons import ProvenLesson
from rules.rulebase import RuleBase

WORKSHOPS, RELEARNINGS, FIRST = 100, 40, 5
MOST_GROWN = 5.0  # MB


def grown(turn: Callable[[int], None], times: int) -> tuple[float, float]:
    """MB of the process after the first few turns, and after all of them."""
    process, sizes = psutil.Process(), []
    for number in range(times):
        turn(number)
        gc.collect()
        sizes.append(process.memory_info().rss / 2**20)
    return sizes[FIRST - 1], sizes[-1]


def test_workshops_and_cases_opened_and_closed(
    offroad: RuleBase, capsys: pytest.CaptureFixture[str]
) -> None:
    def turn(number: int) -> None:
        interview = Diagnosis(Assessor(offroad), Case(events=(Complained("harsh", "front"),)))
        for _ in range(3):
            target = interview.assessment.step.target
            interview.add(Answered(target))
        assert interview.assessment.ranking.causes

    first, last = grown(turn, WORKSHOPS)
    with capsys.disabled():
        print(f"\n{WORKSHOPS} workshops, a case in each: {first:.1f} MB, then {last:.1f} MB")
    assert last - first < MOST_GROWN


def test_relearning_again_and_again(offroad: RuleBase, capsys: pytest.CaptureFixture[str]) -> None:
    causes = list(offroad.causes)
    traits = {key: trait.default for key, trait in offroad.traits.items()}
    shown = {link.cause: {link.node: offroad.nodes[link.node].states[-1]} for link in offroad.links}
    case = Case(events=(Complained("harsh", "front"),))
    lessons: list[ProvenLesson] = []

    def turn(number: int) -> None:
        cause = causes[number]
        lessons.append(ProvenLesson(number, cause, traits, shown[cause], {}))
        learned = learn(offroad, lessons)
        assert learned.cases == number + 1
        assert Assessor(learned.rules).assess(case).ranking.causes

    first, last = grown(turn, RELEARNINGS)
    with capsys.disabled():
        print(f"\n{RELEARNINGS} relearnings, a case in each: {first:.1f} MB, then {last:.1f} MB")
    assert last - first < MOST_GROWN
