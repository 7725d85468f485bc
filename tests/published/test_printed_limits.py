"""Limits and standard settings printed in manuals and regulations, through the real engine."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.case.events import Case, read_target
from diagnose.findings.concluding import Findings
from rules.rulebase import RuleBase

MakeCase = Callable[..., Case]


def test_a_manual_with_another_torque_comes_first(
    offroad_assessor: Assessor, make_case: MakeCase
) -> None:
    """Kawasaki, KX250F workshop manual, 2006, p. 2-60 (seen): upper clamp bolts 20 N·m."""
    rules = offroad_assessor.rules
    case = make_case(rules, upper_clamp_torque_found="24 N·m")
    conclude = offroad_assessor.model.findings.conclude
    assert "upper-clamp-torque-found" not in conclude(case).states
    for printed, state in (("20 N·m", "right"), ("17 N·m", "over")):
        figure = dict([read_target(rules, "upper-clamp-torque", printed)])
        by_manual = Case({}, figure, case.events)
        assert conclude(by_manual).states["upper-clamp-torque-found"] == state


# Honda, competition motorcycle service manual, rear wheel service information (seen): axle runout
# limit 0.20 mm; rim runout limit 2.0 mm, radial and axial.
@pytest.mark.parametrize(
    ("runout", "state"), [("0.1 mm", "straight"), ("0.2 mm", "straight"), ("0.25 mm", "slight"),
                          ("0.6 mm", "bent")],
)  # fmt: skip
def test_axle_runout(conclude: Callable[..., Findings], runout: str, state: str) -> None:
    findings = conclude(front_axle_runout=runout)
    assert findings.states["front-axle-runout"] == state
    assert bool(findings.do_not_ride) == (state == "bent")


@pytest.mark.parametrize("axle", ["front", "rear"])
@pytest.mark.parametrize(
    ("runout", "state"), [("1 mm", "true-enough"), ("2.0 mm", "near"), ("2.1 mm", "beyond")]
)
def test_rim_runout(conclude: Callable[..., Findings], axle: str, runout: str, state: str) -> None:
    assert conclude(**{f"{axle}_rim_runout": runout}).states[f"{axle}-rim-runout"] == state


@pytest.mark.parametrize(
    ("offset", "reject"), [("25 mm", False), ("1 in", False), ("25.5 mm", True)]
)
def test_wheels_out_of_line(conclude: Callable[..., Findings], offset: str, reject: bool) -> None:
    """State of Maryland, COMAR 11.14.03.02 (seen): reject where it exceeds 1 inch (25.4 mm)."""
    findings = conclude(wheel_line_offset=offset)
    assert (findings.states["wheel-line-offset"] == "reject") == reject
    assert bool(findings.do_not_ride) == reject


def test_swingarm_side_play_is_not_ridden(conclude: Callable[..., Findings]) -> None:
    """State of Maryland, COMAR 11.14.03.02 (seen): noticeable lateral movement; Yamaha, WR450F
    owner's manual, 2016 (seen): radial limit 1.0 mm."""
    assert conclude(swingarm_side_play="1.5 mm").do_not_ride
    assert not conclude(swingarm_side_play="0.5 mm").do_not_ride


def test_high_speed_compression_is_counted_in_turns(
    offroad: RuleBase, conclude: Callable[..., Findings]
) -> None:
    """Common practice; Yamaha, WR450F owner's manual, 2016, p. 2-9 (seen): standard 1 3/4 turns."""
    name = "shock-high-speed-compression-turns"
    entry = offroad.observations[name]
    assert entry.unit == "turns"
    assert "out from fully closed" in entry.ask
    read = conclude(shock_high_speed_compression_turns="1.75 turns")
    assert read.states[name] == "near"
