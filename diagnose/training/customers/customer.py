"""The customer of a case: the complaint in their words, their bike, and what they tell unasked."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from diagnose.case.events import Answered, Complained
from diagnose.inference.evidence import nodes_of
from diagnose.simulation.chance import Dice
from diagnose.simulation.simulated_bike import SimulatedBike, applies
from diagnose.training.customers.guide import CustomerWords, Guide
from diagnose.training.customers.scenario import Scenario
from diagnose.words.answers import answer_text
from rules.rulebase import RuleBase

_NO_WORDS = CustomerWords(source=("none",))


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


def walk_in(rules: RuleBase, guide: Guide, scenario: Scenario, bike: SimulatedBike) -> Customer:
    """The customer of a scenario. The same scenario gives the same customer."""
    words_of = guide.words or _NO_WORDS
    shown = [
        f"{entry.title}: {entry.options[scenario.truth.machine[key]]}"
        for key, entry in rules.traits.items()
    ]
    shown += [f"{rules.specs[key].title}: {value}" for key, value in scenario.targets.items()]
    told = tuple(bike.answer(name) for name in scenario.told)
    lines = [_told(rules, words_of, answer) for answer in told]
    words = tuple(_words(rules, words_of, scenario))
    return Customer(scenario.rider, words, tuple(shown), told, tuple(lines))


def _told(rules: RuleBase, words_of: CustomerWords, answer: Answered) -> str:
    said = words_of.history.get(answer.observation, {}).get(answer.state or "")
    return said or f"{rules.observations[answer.observation].ask} {answer_text(rules, answer)}"


def _words(rules: RuleBase, words_of: CustomerWords, scenario: Scenario) -> Iterator[str]:
    for complained in scenario.complaints:
        dice = Dice(scenario.bike_seed, "words", complained.key)
        yield complaint_words(rules, words_of, complained, dice)
    dice = Dice(scenario.bike_seed, "temper")
    if words_of.guesses and dice.unit() < words_of.guess_share:
        cause = _wrong_guess(rules, scenario, dice)
        if cause is not None:
            title = rules.causes[cause].title
            yield dice.choose(words_of.guesses).format(cause=f"{title[:1].lower()}{title[1:]}")
    if words_of.tempers and dice.unit() < words_of.temper_share:
        yield dice.choose(words_of.tempers)


def complaint_words(
    rules: RuleBase, words_of: CustomerWords, complained: Complained, dice: Dice
) -> str:
    """A complaint as a customer puts it, one way of those there are."""
    entry = rules.complaints[complained.complaint]
    unsure = " I cannot tell which end." if entry.places and not complained.place else ""
    if complained.complaint in words_of.complaints:
        place = words_of.places.get(complained.place or "", "")
        said = dice.choose(words_of.complaints[complained.complaint]).format(place=place)
        return f"{said}{unsure}"
    said = dice.choose(entry.said or (entry.title,))
    place = f" It is the {complained.place}." if complained.place else unsure
    return f"{said[:1].upper()}{said[1:]}.{place}"


def _wrong_guess(rules: RuleBase, scenario: Scenario, dice: Dice) -> str | None:
    """A cause that could make the complaint on this bike and is not there."""
    nodes = {node for said in scenario.complaints for node in nodes_of(rules, said)}
    able = {link.cause for link in rules.links if link.node in nodes} - set(scenario.truth.causes)
    causes = [
        key
        for key, cause in rules.causes.items()
        if key in able and applies(cause, scenario.truth.machine)
    ]
    if not causes:
        return None
    return causes[dice.pick([rules.causes[key].per_100 for key in causes])]
