"""The simulated bike: consistent, repeatable, and drawn from the model."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from diagnose.case.events import Case, Complained
from diagnose.findings.concluding import FindingsEngine
from diagnose.simulation.simulated_bike import GivenFacts, SimulatedBike, Truth, draw_truth
from rules.rulebase import RuleBase
from tests.conftest import manual_of

TRUTH = Truth(("stale-fuel",), Complained("no-start"), {"engine": "petrol", "size": "small"})


def test_the_same_seed_gives_the_same_case(offroad: RuleBase) -> None:
    assert draw_truth(offroad, 7) == draw_truth(offroad, 7)
    truth = draw_truth(offroad, 7)
    one, other = (SimulatedBike(offroad, truth, 3) for _ in range(2))
    for name in list(offroad.observations)[:60]:
        assert one.answer(name) == other.answer(name)


def test_seeds_differ(offroad: RuleBase) -> None:
    assert len({draw_truth(offroad, seed).causes for seed in range(12)}) > 6


def test_asking_twice_gives_the_same_answer(mower: RuleBase) -> None:
    bike = SimulatedBike(mower, TRUTH, 1)
    for name in mower.observations:
        assert bike.answer(name) == bike.answer(name)


@pytest.mark.parametrize("seed", range(8))
def test_a_reading_falls_in_the_band_it_was_drawn_from(offroad: RuleBase, seed: int) -> None:
    truth = draw_truth(offroad, seed)
    known = GivenFacts(targets=manual_of(offroad, Case(truth.machine)))
    bike = SimulatedBike(offroad, truth, seed, known)
    engine = FindingsEngine(offroad)
    case = Case(truth.machine, known.targets)
    drawn = {}
    for name, entry in offroad.observations.items():
        if entry.kind == "measurement" and entry.is_evidence:
            answer = bike.answer(name)
            case = case.with_event(answer)
            drawn[name] = bike.state_of(name)
    states = engine.conclude(case).states
    assert {name: states[name] for name in drawn} == drawn


def test_states_come_as_often_as_the_model_says(mower: RuleBase) -> None:
    """Out-of-fuel shows an empty tank 995 times in a thousand; stale fuel 945 stale."""
    counts = [SimulatedBike(mower, TRUTH, seed).answer("tank-look").state for seed in range(800)]
    share = np.mean([state == "stale" for state in counts])
    assert share == pytest.approx(0.945, abs=4 * np.sqrt(0.945 * 0.055 / 800))


def test_a_correction_takes_away_only_what_its_causes_produced(mower: RuleBase) -> None:
    truth = replace(TRUTH, causes=("stale-fuel", "blade-bent"))
    bike = SimulatedBike(mower, truth, 2)
    wobble = bike.answer("blade-wobble")
    assert not bike.is_cured
    bike.correct("fill-up")
    assert bike.is_cured
    assert bike.answer("blade-wobble") == wobble
    assert bike.fixed == {"stale-fuel"}


def test_most_riders_report_a_cure_as_gone(mower: RuleBase) -> None:
    reports = []
    for seed in range(300):
        bike = SimulatedBike(mower, TRUTH, seed)
        bike.correct("fill-up")
        reports.append(bike.ride(frozenset()))
    assert np.mean([r == "gone" for r in reports]) == pytest.approx(0.86, abs=0.08)


def test_a_drawn_truth_can_be_felt_and_fits_the_bike(offroad: RuleBase) -> None:
    for seed in range(30):
        truth = draw_truth(offroad, seed, {"fork": "air"})
        assert 1 <= len(truth.causes) <= 2
        links = {(link.cause, link.node) for link in offroad.links}
        assert any((cause, truth.complaint.key) in links for cause in truth.causes)
        for cause in truth.causes:
            assert "air" in offroad.causes[cause].needs.get("fork", ("air",))


def test_a_ride_after_needless_work_reports_what_has_gone_already_as_gone(mower: RuleBase) -> None:
    """Once cured and ridden, further work leaves the complaint gone in 97 of 100 reports."""
    reports = []
    for seed in range(300):
        machine = SimulatedBike(mower, TRUTH, seed)
        machine.correct("fill-up")
        before = machine.fixed
        machine.correct("new-plug")
        reports.append(machine.ride(before))
    assert np.mean([r == "gone" for r in reports]) == pytest.approx(0.97, abs=0.03)
