"""The same posterior from a general library for Bayesian networks and from ours.

Run by name: pytest tests/bench -n 0 -s.
"""

from __future__ import annotations

import statistics
import time

import numpy as np
import pytest

from diagnose.advice.assessor import Assessor
from tests.oracles.library_network import library_engine, library_marginals, simple_cases


def test_posteriors_beside_a_general_library(
    offroad_assessor: Assessor, capsys: pytest.CaptureFixture[str]
) -> None:
    model = offroad_assessor.model
    ours, theirs, built, worst, sizes = [], [], [], 0.0, []
    for belief in simple_cases(offroad_assessor, 8, most_nodes=4):
        start = time.perf_counter()
        engine, applies = library_engine(offroad_assessor, belief)
        built.append(time.perf_counter() - start)
        start = time.perf_counter()
        answer = library_marginals(engine, applies)
        theirs.append(time.perf_counter() - start)
        start = time.perf_counter()
        again = model.believe(belief.case)
        ours.append(time.perf_counter() - start)
        worst = max(worst, float(np.abs(again.marginal[applies] - answer).max()))
        sizes.append(len(belief.evidence))
    assert len(ours) >= 15
    assert worst < 1e-9
    with capsys.disabled():
        print(
            f"\n{len(ours)} cases, {len(model.network.causes)} causes, {statistics.mean(sizes):.1f} "
            f"nodes of evidence: ours {statistics.median(ours) * 1e3:.1f} ms (findings and all), the "
            f"library {statistics.median(theirs) * 1e3:.0f} ms and "
            f"{statistics.median(built) * 1e3:.0f} ms to set up; ratio "
            f"{statistics.median(theirs) / statistics.median(ours):.0f}; largest difference "
            f"{worst:.1e}"
        )
