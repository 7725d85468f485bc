"""Readings, findings and answers of a simulated bike are of one piece."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pytest

from diagnose.case.events import Answered, Case, Complained
from diagnose.case.figures import figure_of
from diagnose.findings.concluding import FindingsEngine
from diagnose.simulation.agreeing import agreeing
from diagnose.simulation.instruments import Instrument
from diagnose.simulation.simulated_bike import GivenFacts, SimulatedBike, Truth, draw_truth
from rules.rulebase import RuleBase

MOWER = {"engine": "petrol", "size": "small"}
HEIGHTS = Truth(("heights-wrong",), Complained("vibration", "deck"), MOWER)


def everything(rules: RuleBase, bike: SimulatedBike) -> Case:
    """Every observation that is for this bike, made, with its manual at hand."""
    traits = bike.truth.machine
    targets = {spec: figure_of(rules, Case(traits), spec).value for spec in rules.specs}
    answers = tuple(
        bike.answer(name)
        for name, entry in rules.observations.items()
        if all(traits[trait] in options for trait, options in entry.needs.items())
    )
    return Case(traits, targets, (bike.truth.complaint, *answers))


@pytest.mark.parametrize("seed", range(25))
def test_free_readings_conclude_what_was_drawn(mower: RuleBase, seed: int) -> None:
    bike = SimulatedBike(mower, HEIGHTS, seed)
    states = FindingsEngine(mower).conclude(everything(mower, bike)).states
    concluded = states.get("heights-unequal", "equal")
    assert concluded == bike.state_of("heights-unequal")


def test_both_outcomes_of_a_drawn_finding_come_up(mower: RuleBase) -> None:
    drawn = [SimulatedBike(mower, HEIGHTS, seed).state_of("heights-unequal") for seed in range(60)]
    assert set(drawn) == {"equal", "unequal"}


def test_findings_of_the_shipped_pack_come_out_as_drawn(offroad: RuleBase) -> None:
    """All but those whose readings' own states leave no room for it, which are rare."""
    engine = FindingsEngine(offroad)
    by_rules = [key for key, finding in offroad.findings.items() if finding.computed is None]
    off, wrong = 0, 0
    for seed in range(6):
        bike = SimulatedBike(offroad, draw_truth(offroad, seed), seed)
        states = engine.conclude(everything(offroad, bike)).states
        for key in by_rules:
            normal = next(iter(offroad.findings[key].states))
            off += bike.state_of(key) != normal
            wrong += states.get(key, normal) != bike.state_of(key)
    assert off >= 3  # there was something to get wrong
    assert wrong <= 0.02 * 6 * len(by_rules)


def test_instruments_show_whole_steps_near_what_is_there(mower: RuleBase) -> None:
    truth = Truth(("stale-fuel",), Complained("no-start"), MOWER)
    plain = SimulatedBike(mower, truth, 3).answer("plug-gap-reading").reading
    known = GivenFacts(instruments={"mm": Instrument(0.05, 0.04)})
    shown = SimulatedBike(mower, truth, 3, known).answer("plug-gap-reading").reading
    assert plain is not None and shown is not None
    assert shown.value / 0.05 == pytest.approx(round(shown.value / 0.05))
    assert abs(shown.value - plain.value) <= 0.04 + 0.025


def test_noise_never_carries_a_reading_into_another_state(offroad: RuleBase) -> None:
    wild = {unit: Instrument(0.5, 8.0) for unit in ("psi", "mm", "h", "N·m", "clicks")}
    engine = FindingsEngine(offroad)
    for seed in range(5):
        bike = SimulatedBike(offroad, draw_truth(offroad, seed), seed, GivenFacts(instruments=wild))
        states = engine.conclude(everything(offroad, bike)).states
        for name, entry in offroad.observations.items():
            if entry.is_evidence and entry.bands and name in states:
                assert states[name] == bike.state_of(name)


def test_work_leaves_its_own_checks_sound_and_the_rest_as_it_was(mower: RuleBase) -> None:
    """A check that showed wrong by chance is looked at again after the part was renewed."""
    truth = Truth(("stale-fuel",), Complained("no-start"), MOWER)
    seed = next(
        s
        for s in range(4000)
        if SimulatedBike(mower, truth, s).answer("blade-wobble").state == "yes"
    )
    bike = SimulatedBike(mower, truth, seed)
    others = [name for name in mower.observations if name != "blade-wobble"]
    before = [bike.answer(name) for name in others]
    bike.correct("new-blade")
    assert bike.answer("blade-wobble").state == "no"
    assert [bike.answer(name) for name in others] == before


def test_written_answers_stand_until_their_cause_is_put_right(mower: RuleBase) -> None:
    truth = Truth(("stale-fuel",), Complained("no-start"), MOWER)
    written = {
        "tank-look": Answered("tank-look", state="stale"),
        "hit-a-stone": Answered("hit-a-stone", state="yes"),
    }
    after = []
    for seed in range(40):
        bike = SimulatedBike(mower, truth, seed, GivenFacts(written))
        assert bike.answer("tank-look").state == "stale"
        bike.correct("fill-up")
        after.append(bike.answer("tank-look").state)
        assert bike.answer("hit-a-stone").state == "yes"
    assert after.count("fresh") >= 34  # fresh fuel smells stale to one nose in twenty


def test_a_cause_of_the_second_complaint_is_behind_it_too(mower: RuleBase) -> None:
    both = Truth(
        ("no-fuel", "blade-bent"), Complained("no-start"), MOWER, (Complained("vibration", "deck"),)
    )
    bikes = [SimulatedBike(mower, both, seed) for seed in range(10)]
    assert any(bike.behind == {"no-fuel", "blade-bent"} for bike in bikes)
    assert bikes[0].able == {"no-fuel", "blade-bent"}
    assert SimulatedBike(mower, replace(both, also=()), 1).able == {"no-fuel"}


def raised(rules: RuleBase, seeds: range, settle: bool) -> Iterator[tuple[int, int]]:
    """(contradictions, do-not-rides with no true cause behind) of bikes looked at whole."""
    engine = FindingsEngine(rules)
    for seed in seeds:
        truth = draw_truth(rules, seed)
        known = agreeing(rules, truth, seed, GivenFacts()) if settle else GivenFacts()
        found = engine.conclude(everything(rules, SimulatedBike(rules, truth, seed, known)))
        shown = {link.node for link in rules.links if link.cause in truth.causes}
        chance = [item for item in found.do_not_ride if not names_of(rules, item.rule) & shown]
        yield len(found.contradictions), len(chance)


def names_of(rules: RuleBase, rule: str) -> set[str]:
    from rules.language.conditions import leaves

    return {name for leaf, _ in leaves(rules.rules[rule].when) for name in leaf.names}


def test_agreeing_bikes_neither_contradict_themselves_nor_alarm_by_chance(
    offroad: RuleBase,
) -> None:
    seeds = range(8)
    loose = list(raised(offroad, seeds, settle=False))
    assert sum(c for c, _ in loose) > 3 and sum(d for _, d in loose) > 1
    assert list(raised(offroad, seeds, settle=True)) == [(0, 0)] * len(seeds)
