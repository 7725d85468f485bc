"""Figures the trade works by, against the pack's targets and bands, through the real engine.

Every figure has its source beside it. None is the manual of any one bike; the owner's manual of the
machine comes first, and a figure given with the case replaces the default.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.case.events import Case
from diagnose.findings.concluding import Findings
from rules.rulebase import RuleBase

MakeCase = Callable[..., Case]


# Common practice: 12 to 13 psi on a track, a couple of psi of spread is nothing; 25 to 30 psi is
# plainly harsh. A motocross maker's figure is 100 kPa (Yamaha, YZ250F owner's service manual, 2014,
# p. 3-37, seen), which must not read as wrong either.
TYRES = [
    ("12 psi", "ok"), ("12.5 psi", "ok"), ("13 psi", "ok"), ("11 psi", "ok"), ("14 psi", "ok"),
    ("100 kPa", "ok"), ("25 psi", "far-above"), ("27 psi", "far-above"), ("30 psi", "far-above"),
    ("6 psi", "far-below"),
]  # fmt: skip


@pytest.mark.parametrize("axle", ["front", "rear"])
@pytest.mark.parametrize(("reading", "state"), TYRES)
def test_tyre_pressure(
    conclude: Callable[..., Findings], axle: str, reading: str, state: str
) -> None:
    assert conclude(**{f"{axle}_tyre_gauge": reading}).states[f"{axle}-tyre-gauge"] == state


# Common practice: fork and shock service every 30 to 50 h.
@pytest.mark.parametrize("unit", ["fork", "shock"])
@pytest.mark.parametrize(
    ("hours", "state"), [("20 h", "in-time"), ("45 h", "due"), ("60 h", "far-over")]
)
def test_service_hours(
    conclude: Callable[..., Findings], unit: str, hours: str, state: str
) -> None:
    assert conclude(**{f"hours_{unit}_service": hours}).states[f"hours-{unit}-service"] == state


# Common practice: tubes stand 5 to 7 mm proud of the upper clamp.
@pytest.mark.parametrize(
    ("height", "state"),
    [("5 mm", "right"), ("6 mm", "right"), ("7 mm", "right"), ("12 mm", "too-high"),
     ("0 mm", "too-low")],
)  # fmt: skip
def test_fork_height(conclude: Callable[..., Findings], height: str, state: str) -> None:
    assert conclude(fork_protrusion_left=height).states["fork-protrusion-left"] == state


# Common practice, one bike as an example: about 12 N·m below, 17 N·m above.
@pytest.mark.parametrize(
    ("clamp", "torque", "state"),
    [
        ("lower", "12 N·m", "right"),
        ("lower", "13.5 N·m", "right"),
        ("lower", "24 N·m", "far-over"),
        ("upper", "17 N·m", "right"),
        ("upper", "18.5 N·m", "right"),
        ("upper", "25 N·m", "over"),
        ("upper", "34 N·m", "far-over"),
        ("upper", "8 N·m", "under"),
    ],
)
def test_clamp_torque(
    conclude: Callable[..., Findings], clamp: str, torque: str, state: str
) -> None:
    findings = conclude(**{f"{clamp}_clamp_torque_found": torque})
    assert findings.states[f"{clamp}-clamp-torque-found"] == state
    assert bool(findings.do_not_ride) == (state == "under")


# Honda, CR250R owner's manual and competition handbook, 2004, p. 52 (seen): race sag 100 mm, about
# a third of the travel; trade magazines allow 5 mm either way.
@pytest.mark.parametrize(
    ("sag", "state"),
    [("95 mm", "ok"), ("100 mm", "ok"), ("105 mm", "ok"), ("3.9 in", "ok"), ("90 mm", "less"),
     ("110 mm", "more"), ("80 mm", "far-less"), ("120 mm", "far-more")],
)  # fmt: skip
def test_rear_race_sag(conclude: Callable[..., Findings], sag: str, state: str) -> None:
    assert conclude(rear_race_sag_measured=sag).states["rear-race-sag-measured"] == state


def test_a_bleed_screw_is_snugged_by_hand(offroad: RuleBase) -> None:
    """Common practice; Honda, CR250R owner's manual, 2004, p. 70 (seen): wheel off the ground."""
    correction = offroad.corrections["bleed-forks"]
    steps = " ".join(correction.steps)
    assert "snug the screw by hand" in steps
    assert "fraction of a turn" in steps
    assert "front wheel clear of the ground" in steps
    assert "eyes-bleed" in correction.cautions
    assert not correction.opens


CLICKERS = [
    "fork-compression-clicks", "fork-rebound-clicks", "shock-low-speed-compression-clicks",
    "shock-rebound-clicks",
]  # fmt: skip


@pytest.mark.parametrize("name", CLICKERS)
def test_clicks_are_counted_from_fully_closed(offroad: RuleBase, name: str) -> None:
    """Common practice; Yamaha, YZ125 owner's service manual, 2004, p. 3-29 (seen)."""
    entry = offroad.observations[name]
    assert entry.unit == "clicks"
    assert "out from fully closed" in entry.ask
    assert any("gently" in step for step in entry.how)


def test_an_over_tight_upper_clamp_counts_against_the_clamp(
    offroad_assessor: Assessor, make_case: MakeCase
) -> None:
    """Common practice: 25 N·m where 17 N·m belong makes a sticky fork; it raises that cause."""
    rules = offroad_assessor.rules
    without = make_case(rules, "sticky-stroke/front")
    with_torque = make_case(
        rules, "sticky-stroke/front", manual=True, upper_clamp_torque_found="25 N·m"
    )
    before, after = (
        offroad_assessor.assess(case).ranking.find("upper-clamps-over-tight").probability
        for case in (without, with_torque)
    )
    assert after > 2.0 * before


@pytest.mark.parametrize(
    "name", ["clean-fork-seals", "flush-fork-and-seals", "dry-and-grease-pivots"]
)
def test_washing_advice_stands_where_washing_did_the_harm(offroad: RuleBase, name: str) -> None:
    """Common practice: jet angled down about 45 degrees, never up at seals or straight at pivots."""
    correction = offroad.corrections[name]
    told = " ".join([*correction.steps, *(offroad.cautions[c].text for c in correction.cautions)])
    assert "angled down about 45 degrees" in told
    assert "never up at a seal" in told
    assert "straight at" in told


def test_a_jet_at_the_seals_brings_the_washing_advice(conclude: Callable[..., Findings]) -> None:
    """Common practice, as above."""
    raised = {r.text for r in conclude(changed_jet_at_seals="yes").cautions}
    assert "washing-jet" in raised
    assert "washing-jet" not in {r.text for r in conclude(changed_jet_at_seals="no").cautions}
