"""Readings, findings and answers of a simulated machine are of one piece."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pytest

from diagnose.case.events import Answered, Case, Complained
from diagnose.findings.concluding import FindingsEngine
from diagnose.simulation.agreeing import agreeing
from diagnose.simulation.instruments import Instrument
from diagnose.simulation.simulated_bike import GivenFacts, SimulatedMachine, Truth, draw_truth
from rules.rulebase import RuleBase

MOWER = {"engine": "petrol", "size": "small"}
HEIGHTS = Truth(("heights-wrong",), Complained("vibration", "deck"), MOWER)


def everything(rules: RuleBase, machine: SimulatedMachine) -> Case:
    """Every observation that is for this machine, made."""
    traits = machine.truth.machine
    answers = tuple(
        machine.answer(name)
        for name, entry in rules.observations.items()
        if all(traits[trait] in options for trait, options in entry.needs.items())
    )
    return Case(traits, {}, (machine.truth.complaint, *answers))


@pytest.mark.parametrize("seed", range(25))
def test_free_readings_conclude_what_was_drawn(mower: RuleBase, seed: int) -> None:
    machine = SimulatedMachine(mower, HEIGHTS, seed)
    states = FindingsEngine(mower).conclude(everything(mower, machine)).states
    concluded = states.get("heights-unequal", "equal")
    assert concluded == machine.state_of("heights-unequal")


def test_both_outcomes_of_a_drawn_finding_come_up(mower: RuleBase) -> None:
    drawn = [
        SimulatedMachine(mower, HEIGHTS, seed).state_of("heights-unequal") for seed in range(60)
    ]
    assert set(drawn) == {"equal", "unequal"}


def test_findings_of_the_shipped_pack_come_out_as_drawn(offroad: RuleBase) -> None:
    """All but those whose readings' own states leave no room for it, which are rare."""
    engine = FindingsEngine(offroad)
    by_rules = [key for key, finding in offroad.findings.items() if finding.computed is None]
    off, wrong = 0, 0
    for seed in range(6):
        machine = SimulatedMachine(offroad, draw_truth(offroad, seed), seed)
        states = engine.conclude(everything(offroad, machine)).states
        for key in by_rules:
            normal = next(iter(offroad.findings[key].states))
            off += machine.state_of(key) != normal
            wrong += states.get(key, normal) != machine.state_of(key)
    assert off >= 3  # there was something to get wrong
    assert wrong <= 0.02 * 6 * len(by_rules)


def test_instruments_show_whole_steps_near_what_is_there(mower: RuleBase) -> None:
    truth = Truth(("stale-fuel",), Complained("no-start"), MOWER)
    plain = SimulatedMachine(mower, truth, 3).answer("plug-gap-reading").reading
    known = GivenFacts(instruments={"mm": Instrument(0.05, 0.04)})
    shown = SimulatedMachine(mower, truth, 3, known).answer("plug-gap-reading").reading
    assert plain is not None and shown is not None
    assert shown.value / 0.05 == pytest.approx(round(shown.value / 0.05))
    assert abs(shown.value - plain.value) <= 0.04 + 0.025


def test_noise_never_carries_a_reading_into_another_state(offroad: RuleBase) -> None:
    wild = {unit: Instrument(0.5, 8.0) for unit in ("psi", "mm", "h", "N·m", "clicks")}
    engine = FindingsEngine(offroad)
    for seed in range(5):
        machine = SimulatedMachine(
            offroad, draw_truth(offroad, seed), seed, GivenFacts(instruments=wild)
        )
        states = engine.conclude(everything(offroad, machine)).states
        for name, entry in offroad.observations.items():
            if entry.is_evidence and entry.bands and name in states:
                assert states[name] == machine.state_of(name)


def test_work_leaves_its_own_checks_sound_and_the_rest_as_it_was(mower: RuleBase) -> None:
    """A check that showed wrong by chance is looked at again after the part was renewed."""
    truth = Truth(("stale-fuel",), Complained("no-start"), MOWER)
    seed = next(
        s
        for s in range(4000)
        if SimulatedMachine(mower, truth, s).answer("blade-wobble").state == "yes"
    )
    machine = SimulatedMachine(mower, truth, seed)
    others = [name for name in mower.observations if name != "blade-wobble"]
    before = [machine.answer(name) for name in others]
    machine.correct("new-blade")
    assert machine.answer("blade-wobble").state == "no"
    assert [machine.answer(name) for name in others] == before


def test_written_answers_stand_until_their_cause_is_put_right(mower: RuleBase) -> None:
    truth = Truth(("stale-fuel",), Complained("no-start"), MOWER)
    written = {
        "tank-look": Answered("tank-look", state="stale"),
        "hit-a-stone": Answered("hit-a-stone", state="yes"),
    }
    after = []
    for seed in range(40):
        machine = SimulatedMachine(mower, truth, seed, GivenFacts(written))
        assert machine.answer("tank-look").state == "stale"
        machine.correct("fill-up")
        after.append(machine.answer("tank-look").state)
        assert machine.answer("hit-a-stone").state == "yes"
    assert after.count("fresh") >= 34  # fresh fuel smells stale to one nose in twenty


def test_a_cause_of_the_second_complaint_is_behind_it_too(mower: RuleBase) -> None:
    both = Truth(
        ("no-fuel", "blade-bent"), Complained("no-start"), MOWER, (Complained("vibration", "deck"),)
    )
    machines = [SimulatedMachine(mower, both, seed) for seed in range(10)]
    assert any(machine.behind == {"no-fuel", "blade-bent"} for machine in machines)
    assert machines[0].able == {"no-fuel", "blade-bent"}
    assert SimulatedMachine(mower, replace(both, also=()), 1).able == {"no-fuel"}


def raised(rules: RuleBase, seeds: range, settle: bool) -> Iterator[tuple[int, int]]:
    """(contradictions, do-not-rides with no true cause behind) of machines looked at whole."""
    engine = FindingsEngine(rules)
    for seed in seeds:
        truth = draw_truth(rules, seed)
        known = agreeing(rules, truth, seed, GivenFacts()) if settle else GivenFacts()
        found = engine.conclude(everything(rules, SimulatedMachine(rules, truth, seed, known)))
        shown = {link.node for link in rules.links if link.cause in truth.causes}
        chance = [item for item in found.do_not_ride if not names_of(rules, item.rule) & shown]
        yield len(found.contradictions), len(chance)


def names_of(rules: RuleBase, rule: str) -> set[str]:
    from rules.language.conditions import leaves

    return {name for leaf, _ in leaves(rules.rules[rule].when) for name in leaf.names}


def test_agreeing_machines_neither_contradict_themselves_nor_alarm_by_chance(
    offroad: RuleBase,
) -> None:
    seeds = range(4)
    loose = list(raised(offroad, seeds, settle=False))
    assert sum(c for c, _ in loose) > 3 and sum(d for _, d in loose) > 3
    assert list(raised(offroad, seeds, settle=True)) == [(0, 0)] * len(seeds)
