"""Timings; run by name: `pytest -o addopts= tests/bench/test_bench_physics.py`.

The aims: one obstacle at least 100 times as fast as real time, the first number within 300 ms
of the call, a whole bike's budget with its band in 2 s on two cores.
"""

import subprocess
import sys
from dataclasses import replace

import numpy as np
import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from diagnose.harshness.compared_bike import build_case
from diagnose.harshness.shares import live_budget
from diagnose.harshness.values import End, KnownValues, read_value
from diagnose.physics.budget.axle_budget import Budget, axle_budget
from diagnose.physics.budget.what_if import what_ifs
from diagnose.physics.ride.axle import Setup
from diagnose.physics.ride.harshness import Harshness, harshness
from diagnose.physics.ride.obstacles import standard_obstacles
from tests.reference_setup import reference_bike, reference_setup

FIRST_NUMBER = """
from diagnose.physics.ride.harshness import harshness
from diagnose.physics.ride.obstacles import square_edge
from tests.reference_setup import reference_bike, reference_setup
front = reference_bike().front
print(harshness(front, reference_setup().front, square_edge(front.wheel_radius)).value)
"""


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


@pytest.mark.parametrize("number", range(5))
def test_bench_one_obstacle(benchmark: BenchmarkFixture, number: int) -> None:
    """One front end over one obstacle."""
    front, setup = reference_bike().front, reference_setup().front
    obstacle = standard_obstacles(front.wheel_radius, np.random.default_rng(1))[number]
    result: Harshness = benchmark(harshness, front, setup, obstacle)
    assert result.value > 0.0
    if benchmark.stats is not None:
        benchmark.extra_info["times_real_time"] = obstacle.duration / benchmark.stats["median"]
    benchmark.extra_info["obstacle"] = obstacle.name


def test_bench_whole_budget(benchmark: BenchmarkFixture) -> None:
    """Both ends, five obstacles, seven factors, the default band."""
    bike, setups = reference_bike(), reference_setup()
    front = standard_obstacles(bike.front.wheel_radius, np.random.default_rng(1))
    rear = standard_obstacles(bike.rear.wheel_radius, np.random.default_rng(1))
    ends = (bike.front, setups.front, front), (bike.rear, setups.rear, rear)

    def whole() -> list[Budget]:
        rng = np.random.default_rng(2)
        return [axle_budget(axle, wrong(setup), setup, over, rng) for axle, setup, over in ends]

    result: list[Budget] = benchmark.pedantic(whole, rounds=5, warmup_rounds=1)
    assert [len(budget.obstacles) for budget in result] == [5, 5]


def test_bench_what_if(benchmark: BenchmarkFixture) -> None:
    """Two psi out, five obstacles, with a band."""
    front, setup = reference_bike().front, reference_setup().front
    ground = standard_obstacles(front.wheel_radius, np.random.default_rng(1))
    softer = replace(setup, tyre_pressure=setup.tyre_pressure - 2.0 * 6_894.757)
    effects = benchmark(what_ifs, front, setup, [softer], ground, np.random.default_rng(2))
    assert len(effects[0]) == 5


def test_bench_live_budget(benchmark: BenchmarkFixture) -> None:
    """What one press of an arrow key costs: all seven factors off, chop and a square edge."""
    values = {
        "front-tyre": "25 psi", "fork-compression": "8", "fork-high-speed": "1", "fork-rebound": "6",
        "front-gap": "20 mm", "front-sag": "60 mm", "trapped-air": "13 kPa",
    }  # fmt: skip
    known = KnownValues({name: read_value(name, text) for name, text in values.items()})
    answer = benchmark(lambda: live_budget(build_case(known), End.FRONT))
    assert len(answer.differing) == 7


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
    assert "square edge" in said


def test_bench_first_number(benchmark: BenchmarkFixture) -> None:
    """From starting Python to the first harshness figure, imports included."""

    def first() -> str:
        return subprocess.run(
            [sys.executable, "-c", FIRST_NUMBER], capture_output=True, text=True, check=True
        ).stdout

    said = benchmark.pedantic(first, rounds=5, warmup_rounds=1)
    assert float(said) > 0.0
