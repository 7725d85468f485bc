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
                f"\n{'wide' if own_complaints else 'dense'} {times:2}x: {len(pack.causes)} causes, "
                f"{len(pack.observations)} observations, {len(pack.links)} links; ready in "
                f"{ready:.2f} s; {len(taken)} steps: median {statistics.median(taken) * 1e3:.0f} ms, "
                f"p95 {p95[-1]:.0f} ms, worst {max(taken) * 1e3:.0f} ms",
                end="",
            )
    slope = np.polyfit(np.log(causes), np.log(p95), 1)[0]
    with capsys.disabled():
        print(f"\np95 grows as the number of causes to the power {slope:.2f}")
        print(
            plot_to_string(
                xs=causes, ys=p95, title="p95 of a step in ms, by causes", lines=True,
                x_as_log=True, y_as_log=True, width=60, height=12,
            )
        )  # fmt: skip


def test_exact_at_five_times(offroad: RuleBase, capsys: pytest.CaptureFixture[str]) -> None:
    """Against the recursion, which never cancels."""
    model = Model(enlarged(offroad, 5, own_complaints=True))
    worst = 0.0
    for complaint in ("harsh/front", "wallowing"):
        name, _, place = complaint.partition("/")
        belief = model.believe(Case(events=(Complained(name, place or None),)))
        question = model.weigher.question(belief.evidence, belief.applies)
        worst = max(worst, float(np.abs(belief.marginal - by_recursion(question)).max()))
    with capsys.disabled():
        print(f"\n{len(model.network.causes)} causes: largest difference {worst:.1e}")
    assert worst < 1e-12


@pytest.mark.parametrize("own_complaints", [True, False], ids=["wide", "dense"])
@pytest.mark.parametrize("times", [1, 3, 10])
def test_hard_posteriors_as_the_pack_grows(
    offroad: RuleBase, times: int, own_complaints: bool, capsys: pytest.CaptureFixture[str]
) -> None:
    """Twelve positive findings; dense: each finding with so many times the causes."""
    model = Model(offroad)
    larger = Model(enlarged(offroad, times, own_complaints=own_complaints))
    posterior, table = [], []
    for seed in range(HARD):
        case = hard_belief(model, seed).case
        start = time.perf_counter()
        belief = larger.believe(case)
        posterior.append(time.perf_counter() - start)
        nodes = list(model.network.nodes)
        start = time.perf_counter()
        answer_table(larger.network, belief, nodes)
        table.append(time.perf_counter() - start)
        question = larger.weigher.question(belief.evidence, belief.applies)
        assert belief.marginal == pytest.approx(by_recursion(question), abs=1e-5)
    with capsys.disabled():
        print(
            f"\n{times:2}x, {len(larger.network.causes)} causes, 12 positives: case weighed "
            f"{spread(posterior)}, table of {len(nodes)} nodes {spread(table)}"
        )
