"""Handing over: what it is and costs by who asks, and that a workshop does it with nothing left."""

from __future__ import annotations

import random
from collections.abc import Callable
from pathlib import Path

import pytest

from diagnose.advice.assessor import Assessment, Assessor
from diagnose.advice.means import OUT_OF_REACH, Means
from diagnose.advice.planning import OBSERVING, Step, takes_a_ride
from diagnose.authoring.trials.many_faults import draw_bike, faults_of
from diagnose.authoring.trials.working import ProgramPolicy, work
from diagnose.case.events import (
    RIDE_REPORTS,
    Answered,
    Asking,
    Case,
    Complained,
    Corrected,
    Declined,
    Event,
    Insisted,
    Rode,
    standing,
)
from rules.loading.loader import load_packs
from rules.problems import BadInput, FileProblems
from rules.rulebase import RuleBase
from rules.units.quantities import Quantity, parse_quantity

End = Callable[[Assessor, int], Assessment]
MOST_STEPS = 120
SHOP = """
pack: {{id: our-shop, title: Our shop, version: "1", format: 1, builds_on: offroad, about: Invented.}}
sources:
  our-books: {{kind: memory, title: invented for the tests}}
changes:
  policy:
    set: {{people: {{{who}: {{hand_over: {what}}}}}}}
    reason: What we charge for taking over.
    source: our-books
"""


def unused(made: Assessment) -> list[tuple[str, str]]:
    """(suspect, check that could confirm it) for every check that is left to whoever asks."""
    rules, case = made.model.rules, made.belief.case
    now, hidden = standing(case), made.belief.findings.not_applicable
    means = Means(rules, now)
    chances = zip(made.model.network.causes, made.belief.open_marginal.tolist(), strict=True)
    return [
        (cause, name)
        for cause, chance in chances
        if 0.05 <= chance < rules.policy.settled
        and rules.causes[cause].correction not in now.declined
        for name in made.model.checks[cause]
        if name in rules.observations
        and name not in now.answers
        and name not in hidden
        and means.chance(name) >= OUT_OF_REACH
        and not (made.bans and takes_a_ride(rules, name))
    ]


def at_random(dice: random.Random, rules: RuleBase, name: str) -> Answered:
    """Mostly in order, sometimes not, sometimes not known."""
    entry = rules.observations[name]
    if dice.random() < 0.1:
        return Answered(name, cannot_here=dice.random() < 0.3)
    if entry.limits is not None and entry.unit is not None:
        low, high = (parse_quantity(limit, entry.unit).to(entry.unit) for limit in entry.limits)
        value = low.value + round(dice.random(), 3) * (high.value - low.value)
        return Answered(name, reading=Quantity(value, entry.unit))
    normal, *others = entry.states
    return Answered(name, normal if dice.random() < 0.8 else dice.choice(others))


def hostile(assessor: Assessor, seed: int) -> Assessment:
    """How a case ends in which nothing fits: random answers, work that helps nothing or is not
    done."""
    rules, dice = assessor.rules, random.Random(seed)
    name = dice.choice(list(rules.complaints))
    place = dice.choice([None, *rules.complaints[name].places])
    who = (Asking("workshop"),) if rules.policy.people else ()

    def happens(step: Step) -> Event:
        match step.kind:
            case "check-again":
                return Insisted(step.target)
            case "correct":
                did = dice.random() < 0.8
                return Corrected(step.target) if did else Declined(step.target)
            case "confirm":
                return Rode(dice.choice([*RIDE_REPORTS[1:], "same"]))
            case _:
                return at_random(dice, rules, step.target)

    case = Case({}, {}, (*who, Complained(name, place)))
    for _ in range(MOST_STEPS):
        made = assessor.assess(case)
        if made.step.kind in ("close", "hand-over"):
            return made
        case = case.with_event(happens(made.step))
    pytest.fail("never came to an end")


class Watched(ProgramPolicy):
    """Does what is advised, and remembers what it rested on."""

    made: Assessment

    def choose(self, assessor: Assessor, case: Case, assessment: Assessment) -> Step:
        self.made = assessment
        return super().choose(assessor, case, assessment)


def simulated(assessor: Assessor, seed: int) -> Assessment:
    """How a simulated bike with one to four faults ends in a workshop."""
    person = "workshop" if assessor.rules.policy.people else ""
    bike, watched = draw_bike(assessor.rules, seed, faults_of(seed), person), Watched()
    who = (Asking(person),) if person else ()
    case = Case(bike.truth.machine, {}, (*who, bike.truth.complaint, *bike.truth.also))
    work(assessor, case, bike.truth, bike, watched)
    return watched.made


@pytest.mark.parametrize(("end", "least"), [(hostile, 40), (simulated, 3)])
def test_a_workshop_hands_nothing_over_with_a_check_left(
    mower_assessor: Assessor, end: End, least: int
) -> None:
    ends = [end(mower_assessor, seed) for seed in range(60)]
    given = [made for made in ends if made.step.kind == "hand-over"]
    assert len(given) >= least
    for made in given:
        if not (made.bans and standing(made.belief.case).declined):
            assert unused(made) == []


@pytest.mark.parametrize(
    ("end", "seed"),
    [
        (hostile, 16),
        pytest.param(hostile, 20, marks=pytest.mark.long),
        pytest.param(hostile, 42, marks=pytest.mark.long),
        pytest.param(simulated, 23, marks=pytest.mark.long),
    ],
)
def test_a_workshop_of_the_pack_that_ships_hands_nothing_over_with_a_check_left(
    offroad_assessor: Assessor, end: End, seed: int
) -> None:
    """Whatever it costs: what opens the fork or shock too."""
    last = end(offroad_assessor, seed)
    assert last.step.kind == "hand-over"
    assert unused(last) == []


def test_a_fork_is_opened_before_a_workshop_gives_up_on_it(offroad_assessor: Assessor) -> None:
    """It is stiff only deep in its stroke and all else is in order; the level is measured."""
    rules = offroad_assessor.rules
    case = Case({}, {}, (Asking("workshop"), Complained("harsh", "front")))
    made = offroad_assessor.assess(case)
    while made.step.kind in OBSERVING.values():
        asked = made.step.target
        deep = asked == "stiff-only-deep"
        state = "yes" if deep else rules.observations[asked].normal
        case = case.with_event(Answered(asked, state))
        made = offroad_assessor.assess(case)
    assert made.step.kind == "hand-over"
    assert "fork-oil-level-measured" in standing(case).answers


def test_what_handing_over_counts_as_is_for_the_shop_to_say(tmp_path: Path) -> None:
    rules = shop(tmp_path, "trail", "{minutes: 90}")
    policy = rules.policy
    assert policy.people["trail"].hand_over.to == "workshop"
    assert policy.minutes_to_hand_over("trail") == 90
    assert policy.minutes_to_hand_over("workshop") == policy.hand_over_minutes
    (change,) = rules.changes("policy", "")
    assert change.source == ("our-books",)
    assessor, harsh = Assessor(rules), Complained("harsh", "front")
    plans = {
        who: assessor.assess(Case({}, {}, (Asking(who), harsh))).plan for who in ("trail", "home")
    }
    assert plans["trail"].expected_minutes <= 90 < plans["home"].expected_minutes


@pytest.mark.parametrize(
    ("what", "said"),
    [
        ("{minutes: -5}", "people.trail.hand_over.minutes"),
        ("{to: the-pub}", "people.trail.hand_over.to"),
        ("{price: 90}", "people.trail.hand_over.price"),
    ],
)
def test_a_price_that_is_none_is_refused_with_its_place(
    tmp_path: Path, what: str, said: str
) -> None:
    with pytest.raises(FileProblems) as told:
        shop(tmp_path, "trail", what)
    (problem,) = told.value.problems
    assert problem.file.endswith("pack.yaml") and problem.line == 7
    assert said in problem.field
    assert isinstance(told.value, BadInput)


def shop(folder: Path, who: str, what: str) -> RuleBase:
    (folder / "pack.yaml").write_text(SHOP.format(who=who, what=what), encoding="utf-8")
    return load_packs((folder,))
