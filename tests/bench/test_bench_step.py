"""Timings of the main job on the whole pack. Run by name: pytest tests/bench -n 0."""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import time

import numpy as np
import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from diagnose.advice.assessor import Assessor
from diagnose.case.events import Answered, Case, Complained
from rules.rulebase import RuleBase, complaint_nodes

START = [sys.executable, "-c", "from tui.cli.main import main; main()", "ask"]


def walk(shop: Assessor, complaint: str, seed: int) -> list[float]:
    """Seconds per next step over an interview with random answers."""
    rng = np.random.default_rng(seed)
    name, _, place = complaint.partition("/")
    case = Case(events=(Complained(name, place or None),))
    times = []
    for _ in range(12):
        start = time.perf_counter()
        step = shop.assess(case).step
        times.append(time.perf_counter() - start)
        entry = shop.rules.observations.get(step.target)
        if entry is None:
            break
        state = None
        if entry.kind != "measurement":
            state = str(rng.choice(list(entry.states)))
        case = case.with_event(Answered(step.target, state=state))
    return times


def test_next_step_over_whole_interviews(
    offroad: RuleBase, offroad_assessor: Assessor, capsys: pytest.CaptureFixture[str]
) -> None:
    times: list[float] = []
    for key, complaint in offroad.complaints.items():
        for node in complaint_nodes(key, complaint):
            for seed in range(3):
                times += walk(offroad_assessor, node, seed)
    with capsys.disabled():
        p95 = np.percentile(times, 95)
        print(
            f"\nnext step, {len(offroad.causes)} causes, {len(offroad.observations)} observations, "
            f"{len(times)} steps: median {statistics.median(times) * 1e3:.1f} ms, "
            f"p95 {p95 * 1e3:.1f} ms, worst {max(times) * 1e3:.1f} ms"
        )
    assert len(times) > 300


def test_first_step(benchmark: BenchmarkFixture, offroad_assessor: Assessor) -> None:
    case = Case(events=(Complained("harsh", "front"),))
    assert benchmark(offroad_assessor.assess, case).step.kind == "ask"


def test_first_question_from_process_start(benchmark: BenchmarkFixture) -> None:
    def first_question() -> bool:
        with subprocess.Popen(START, stdin=subprocess.PIPE, stdout=subprocess.PIPE) as process:
            assert process.stdout is not None
            seen = b""
            while b"complaint>" not in seen:
                seen += os.read(process.stdout.fileno(), 4096)
            process.kill()
        return True

    assert benchmark.pedantic(first_question, rounds=5, warmup_rounds=1)


def test_peak_memory_of_an_interview(capsys: pytest.CaptureFixture[str]) -> None:
    """Read from the process itself: what its parent reports includes the parent's own size."""
    code = (
        "from tui.cli.main import main\n"
        "main(['ask'], standalone_mode=False)\n"
        "print(next(row for row in open('/proc/self/status') if row.startswith('VmHWM')))"
    )
    given = b"harsh\n1\nf\n" + b"?\n" * 30
    done = subprocess.run(
        [sys.executable, "-c", code], input=given, capture_output=True, check=True
    )
    peak = int(done.stdout.split()[-2]) / 1024
    with capsys.disabled():
        print(f"\npeak memory of an interview: {peak:.0f} MiB")
    assert peak > 0
