"""Timings of the posterior, of what every answer would do, and of reasons.

Run by name: pytest tests/bench -n 0 -s.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable
from functools import partial

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.case.events import Case
from diagnose.case.files import load_worked_cases
from diagnose.inference.answer_table import answer_table
from diagnose.inference.posterior import chances_of
from rules.loading.pack_files import OFFROAD, WORKED_CASES
from tests.bench.spread import spread
from tests.hard_cases import by_recursion, hard_belief

HARD = range(30)


def worked(assessor: Assessor) -> list[Case]:
    return [case.case for case in load_worked_cases(assessor.rules, OFFROAD / WORKED_CASES)]


def hard(positives: int) -> Callable[[Assessor], Iterable[Case]]:
    def cases(assessor: Assessor) -> Iterable[Case]:
        for seed in HARD:
            yield hard_belief(assessor.model, seed, positives).case

    return cases


@pytest.mark.parametrize(
    ("name", "cases"),
    [
        ("worked cases", worked),
        ("8 positives", hard(8)),
        ("12 positives", hard(12)),
        ("16 positives", hard(16)),
    ],
)
def test_posterior_and_table(
    offroad_assessor: Assessor,
    name: str,
    cases: Callable[[Assessor], Iterable[Case]],
    capsys: pytest.CaptureFixture[str],
) -> None:
    model = offroad_assessor.model
    taken: dict[str, list[float]] = {}
    for case in cases(offroad_assessor):
        belief = model.believe(case)
        question = model.weigher.question(belief.evidence, belief.applies)
        assessment = offroad_assessor.assess(case)
        nodes = [option.node for option in assessment.options]
        work: dict[str, Callable[[], object]] = {
            "posterior": partial(chances_of, question),
            "recursion": partial(by_recursion, question),
            "table": partial(answer_table, model.network, belief, nodes),
            "step": partial(offroad_assessor.assess, case),
            "reasons": partial(getattr, assessment.ranking.causes[0], "weights"),
        }
        for key, one in work.items():
            start = time.perf_counter()
            one()
            taken.setdefault(key, []).append(time.perf_counter() - start)
    assert len(taken["posterior"]) >= len(HARD)
    with capsys.disabled():
        for key, seconds in taken.items():
            print(f"\n{name}, {len(seconds)} cases, {key}: {spread(seconds)}", end="")
        print()
