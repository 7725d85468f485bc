"""The customer of a case: the complaint in their words, their bike, and what they tell unasked."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from diagnose.case.events import Answered
from diagnose.simulation.chance import Dice
from diagnose.simulation.simulated_bike import SimulatedBike
from diagnose.training.customers.scenario import Scenario
from diagnose.words.answers import answer_text
from rules.rulebase import RuleBase


@dataclass(frozen=True, slots=True)
class Customer:
    """What can be seen and heard before anything is asked.

    `told` are the answers they gave unasked, `told_lines` the same in words.
    """

    rider: str
    words: tuple[str, ...]
    bike: tuple[str, ...]
    told: tuple[Answered, ...]
    told_lines: tuple[str, ...]


def walk_in(rules: RuleBase, scenario: Scenario, bike: SimulatedBike) -> Customer:
    """The customer of a scenario. The same scenario gives the same customer."""
    shown = [
        f"{entry.title}: {entry.options[scenario.truth.machine[key]]}"
        for key, entry in rules.traits.items()
    ]
    shown += [f"{rules.specs[key].title}: {value}" for key, value in scenario.targets.items()]
    told = tuple(bike.answer(name) for name in scenario.told)
    lines = [f"{rules.observations[a.observation].ask} {answer_text(rules, a)}" for a in told]
    words = tuple(_words(rules, scenario))
    return Customer(scenario.rider, words, tuple(shown), told, tuple(lines))


def _words(rules: RuleBase, scenario: Scenario) -> Iterator[str]:
    for complained in scenario.complaints:
        entry = rules.complaints[complained.complaint]
        dice = Dice(scenario.bike_seed, "words", complained.key)
        said = dice.choose(entry.said or (entry.title,))
        place = f" It is the {complained.place}." if complained.place else ""
        if entry.places and not complained.place:
            place = " I cannot tell which end."
        yield f"{said[:1].upper()}{said[1:]}.{place}"
