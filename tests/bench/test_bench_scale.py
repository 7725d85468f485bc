"""How the cost of a step grows with the rule base. Run by name: pytest tests/bench -n 0 -s."""

from __future__ import annotations

import statistics
import time

import numpy as np
import pytest
from diagnose.inference.cause_sets import cause_sets
from uniplot import plot_to_string

from diagnose.advice.assessor import Assessor
from diagnose.case.events import Answered, Case, Complained
from diagnose.inference.posterior import Model, normalised
from rules.rulebase import RuleBase, complaint_nodes
from tests.bench.enlarge import enlarged

TIMES = (1, 2, 3, 5, 10)
STEPS = 10


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
    """Against the table of all sets of all causes, bystanders written out."""
    pack = enlarged(offroad, 5, own_complaints=True)
    model = Model(pack, 2)
    network = model.network
    whole = cause_sets(len(network.causes), 2)
    worst = 0.0
    for complaint in ("harsh/front", "wallowing"):
        name, _, place = complaint.partition("/")
        case = Case(events=(Complained(name, place or None),))
        belief = model.believe(case)
        total = network.log_prior(whole, np.ones(len(network.causes), dtype=np.bool_))
        banned = [
            network.cause_index[c]
            for c in belief.findings.not_applicable
            if c in network.cause_index
        ]
        total[np.isin(whole.members, banned).any(axis=1)] = -np.inf
        for item in belief.evidence:
            total += model.weigher.log_likelihood(whole, item)
        expected = whole.marginals(normalised(total))
        worst = max(worst, float(np.abs(belief.marginal - expected).max()))
    with capsys.disabled():
        print(
            f"\n{len(whole):,} sets against {len(belief.sets):,} kept apart: largest difference {worst:.1e}"
        )
    assert worst < 1e-12
