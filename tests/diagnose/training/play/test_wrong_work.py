"""Work that was not needed leaves something worse now and then, and the review says so."""

from __future__ import annotations

from dataclasses import replace

from diagnose.advice.assessor import Assessor
from diagnose.case.events import Complained
from diagnose.simulation.simulated_bike import GivenFacts, Truth
from diagnose.training.customers.guide import Guide, WrongWork
from diagnose.training.customers.scenario import Scenario, draw_scenario
from diagnose.training.play.encounter import Encounter
from diagnose.training.play.moves import Correct, Observe, RideMove
from diagnose.training.scoring.points import score
from diagnose.training.scoring.review import review
from rules.rulebase import RuleBase

HASTY = Correct("clean-carburettor", ("carburettor-gummed",))


def careless(guide: Guide, chance: float = 1) -> Guide:
    left = WrongWork(chance=chance, leaves={"fuel": ("plug-worn",)}, source=("made-up",))
    return replace(guide, wrong_work=left)


def dry_tank(rules: RuleBase, guide: Guide) -> Scenario:
    truth = Truth(("no-fuel",), Complained("no-start"), {"engine": "petrol", "size": "small"})
    drawn = draw_scenario(rules, guide, 0)
    # a bike on which a worn plug is felt and read
    return replace(
        drawn, bike_seed=1, truth=truth, complaints=(truth.complaint,), known=GivenFacts(), told=()
    )


def test_it_is_felt_on_the_ride_and_has_to_be_put_right(
    mower_assessor: Assessor, mower_guide: Guide
) -> None:
    guide = careless(mower_guide)
    encounter = Encounter(mower_assessor, guide, dry_tank(mower_assessor.rules, guide))
    wrong = encounter.take(HASTY)
    assert wrong.harm == "plug-worn" and wrong.minutes > 20
    assert encounter.bike.harmed == {"plug-worn"}
    ride = encounter.take(RideMove())
    assert review(encounter)[ride.number - 1].result == "worse"
    encounter.take(Correct("fill-up", ("no-fuel",)))
    assert not encounter.bike.is_cured
    encounter.take(RideMove())
    undone = encounter.take(Correct("new-plug", ("plug-worn",)))
    assert undone.harm is None and encounter.bike.is_cured
    assert "It was not needed, and left: " in review(encounter)[0].harm
    # undoing one's own harm is not held against the cause that was named
    named = score(encounter).named
    assert set(named) == {"carburettor-gummed", "no-fuel", "plug-worn"}
    assert score(encounter).find("right-cause").value < 1


def test_work_that_was_needed_does_no_harm_and_chance_decides_about_the_rest(
    mower_assessor: Assessor, mower_guide: Guide
) -> None:
    for guide in (careless(mower_guide), careless(mower_guide, 0), mower_guide):
        encounter = Encounter(mower_assessor, guide, dry_tank(mower_assessor.rules, guide))
        encounter.take(Observe("tank-look"))
        assert encounter.take(Correct("fill-up", ("no-fuel",))).harm is None
    for guide in (careless(mower_guide, 0), mower_guide):
        encounter = Encounter(mower_assessor, guide, dry_tank(mower_assessor.rules, guide))
        assert encounter.take(HASTY).harm is None


def test_a_reading_is_worse_after_it(mower_assessor: Assessor, mower_guide: Guide) -> None:
    shown = []
    for guide in (mower_guide, careless(mower_guide)):
        encounter = Encounter(mower_assessor, guide, dry_tank(mower_assessor.rules, guide))
        encounter.take(HASTY)
        shown.append(encounter.bike.state_of("plug-gap-reading"))
    assert shown[0] != "wide" and shown[1] == "wide"
