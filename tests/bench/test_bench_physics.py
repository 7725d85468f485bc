"""Timings; run by name: `pytest -o addopts= tests/bench/test_bench_physics.py`.

The aims: the first number within 300 ms of the call, one end's whole answer within 2 s.
"""

import subprocess
import sys
from dataclasses import replace

import numpy as np
import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from diagnose.harshness.changes import what_ifs as changes_worth
from diagnose.harshness.compared_bike import build_case
from diagnose.harshness.curves import curves
from diagnose.harshness.shares import answer_end, first_number
from diagnose.harshness.values import End, KnownValues, read_value
from diagnose.physics.budget.axle_budget import Budget, axle_budget
from diagnose.physics.budget.what_if import what_ifs
from diagnose.physics.ride.axle import Setup
from diagnose.physics.ride.obstacles import standard_obstacles
from tests.reference_setup import reference_bike, reference_setup

VALUES = {
    "front-tyre": "25 psi", "fork-compression": "8", "fork-high-speed": "1", "fork-rebound": "6",
    "front-gap": "20 mm", "front-sag": "60 mm", "trapped-air": "13 kPa", "fork-oil": "90 mm",
}  # fmt: skip
"""All eight factors off."""


def known(count: int) -> KnownValues:
    """The first `count` of them."""
    some = list(VALUES.items())[:count]
    return KnownValues({name: read_value(name, text) for name, text in some})


def wrong(setup: Setup) -> Setup:
    """Every one of the seven factors off."""
    return replace(
        setup,
        tyre_pressure=190e3,
        low_speed_compression=4.0,
        high_speed_compression=0.75,
        rebound=6.0,
        friction=150.0,
        trapped_pressure=17e3,
        spring_rate=1.05 * setup.spring_rate,
    )


def test_bench_first_number_called(benchmark: BenchmarkFixture) -> None:
    """The worst of twelve rides, best guess, from readings."""
    ride, extra = benchmark(lambda: first_number(build_case(known(8)), End.FRONT))
    assert extra > 0.0
    assert ride


@pytest.mark.parametrize("count", [1, 3, 8])
def test_bench_whole_end(benchmark: BenchmarkFixture, count: int) -> None:
    """Everything the command prints of one end: bands, shares, changes, curves."""

    def whole() -> int:
        case = build_case(known(count))
        answer = answer_end(case, End.FRONT)
        changes_worth(case, End.FRONT)
        curves(case, End.FRONT, (answer.worst,))
        return len(answer.differing)

    assert benchmark.pedantic(whole, rounds=3, warmup_rounds=1) == count


def test_bench_budget_of_one_ride(benchmark: BenchmarkFixture) -> None:
    """Seven factors, the default band."""
    front, setup = reference_bike().front, reference_setup().front
    over = standard_obstacles(front.wheel_radius, np.random.default_rng(1))[:1]
    rng = np.random.default_rng(2)
    result: Budget = benchmark.pedantic(
        lambda: axle_budget(front, wrong(setup), setup, over, rng), rounds=3, warmup_rounds=1
    )
    assert len(result.obstacles) == 1


def test_bench_what_if(benchmark: BenchmarkFixture) -> None:
    """Two psi out, every ride, with a band."""
    front, setup = reference_bike().front, reference_setup().front
    ground = standard_obstacles(front.wheel_radius, np.random.default_rng(1))
    softer = replace(setup, tyre_pressure=setup.tyre_pressure - 2.0 * 6_894.757)
    effects = benchmark(what_ifs, front, setup, [softer], ground, np.random.default_rng(2))
    assert len(effects[0]) == 12


def test_bench_quick_answer(benchmark: BenchmarkFixture) -> None:
    """What one press of an arrow key costs: all eight factors off."""
    answer = benchmark(lambda: answer_end(build_case(known(8)), End.FRONT, quick=True))
    assert len(answer.differing) == 8


def test_bench_harsh_command(benchmark: BenchmarkFixture) -> None:
    """From calling `badride harsh` to its first line, the budget itself still to come."""

    def first() -> str:
        command = [sys.executable, "-c", "from tui.cli.main import main; main()", "harsh"]
        with subprocess.Popen(
            [*command, "--front-tyre", "25 psi", "--no-ask"], stdout=subprocess.PIPE, text=True
        ) as process:
            assert process.stdout is not None
            line = process.stdout.readline()
            process.kill()
        return line

    said = benchmark.pedantic(first, rounds=5, warmup_rounds=1)
    assert "worst on" in said
