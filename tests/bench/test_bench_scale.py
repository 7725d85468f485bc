"""How the cost of a step grows with the rule base. Run by name: pytest tests/bench -n 0 -s."""

from __future__ import annotations

import statistics
import time

import numpy as np
import pytest
from uniplot import plot_to_string

from diagnose.advice.assessor import Assessor
from diagnose.case.events import Answered, Case, Complained
from diagnose.inference.answer_table import answer_table
from diagnose.inference.posterior import Model
from rules.rulebase import RuleBase, complaint_nodes
from tests.bench.enlarge import enlarged
from tests.bench.spread import spread
from tests.hard_cases import by_recursion, hard_belief

TIMES = (1, 2, 3, 5, 10)
STEPS = 10
HARD = 8


def step_times(shop: Assessor, complaints: list[str]) -> list[float]:
    """Seconds per next step over interviews with random answers, one per complaint."""
    rng = np.random.default_rng(0)
    times = []
    for key in complaints:
        name, _, place = key.partition("/")
        case = Case(events=(Complained(name, place or None),))
        for _ in range(STEPS):
            start = time.perf_counter()
            step = shop.assess(case).step
            times.append(time.perf_counter() - start)
            entry = shop.rules.observations.get(step.target)
            if entry is None:
                break
            state = None if entry.kind == "measurement" else str(rng.choice(list(entry.states)))
            case = case.with_event(Answered(step.target, state=state))
    return times


@pytest.mark.parametrize("own_complaints", [True, False], ids=["wide", "dense"])
def test_next_step_as_the_pack_grows(
    offroad: RuleBase, own_complaints: bool, capsys: pytest.CaptureFixture[str]
) -> None:
    """Wide: every copy has complaints of its own. Dense: all copies share the complaints."""
    nodes = [n for key, c in offroad.complaints.items() for n in complaint_nodes(key, c)]
    chosen = nodes if own_complaints else nodes[::6]
    causes, p95 = [], []
    for times in TIMES:
        pack = enlarged(offroad, times, own_complaints=own_complaints)
        start = time.perf_counter()
        shop = Assessor(pack)
        ready = time.perf_counter() - start
        taken = step_times(shop, chosen)
        assert len(taken) > len(chosen)
        causes.append(len(pack.causes))
        p95.append(float(np.percentile(taken, 95)) * 1e3)
        with capsys.disabled():
            print(
                f"\n{'wide' if own_complaints else 'dense'} {times:2}x, "
                f"{len(larger.network.causes)} causes, 12 positives: case weighed "
                f"{spread(posterior)}, table of {len(nodes)} nodes {spread(table)}"
            )
