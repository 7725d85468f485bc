"""A fork leg that weeps: what it has lost, what is looked at with the seal, and who rides."""

from __future__ import annotations

from diagnose.advice.assessor import Assessment, Assessor
from diagnose.advice.reasons import AskedFirst
from diagnose.case.events import Asking, Case, Complained, read_answer

FORK = {"class": "full-size", "fork": "coil-closed", "rear": "linkage"}
WEEP, HARSH = Complained("seal-weep", "front"), Complained("harsh", "front")
TORN = {"changed-pressure-washed": "yes", "seal-lip-look": "perished"}


def leaking(shop: Assessor, *complaints: Complained, **answers: str) -> Assessment:
    """A case in a home garage; names with _ for -."""
    said = [read_answer(shop.rules, key.replace("_", "-"), text) for key, text in answers.items()]
    return shop.assess(Case(FORK, {}, (Asking("home"), *complaints, *said)))


def chance(made: Assessment, cause: str) -> float:
    return made.ranking.find(cause).probability


def test_what_ran_out_of_the_leg_is_missing_inside(offroad_assessor: Assessor) -> None:
    """15 ml are about 10 mm of level: the more was lost, the likelier it is too low."""
    by_loss = [
        chance(leaking(offroad_assessor, WEEP, HARSH, fork_oil_lost=lost), "fork-oil-level-low")
        for lost in ("little", "spoonful", "more")
    ]
    assert by_loss[0] < 0.02
    assert by_loss[0] < 0.1 < by_loss[1] < by_loss[2]
    assert by_loss[2] > 0.5


def test_how_much_was_lost_is_asked_at_once(offroad_assessor: Assessor) -> None:
    made = leaking(offroad_assessor, WEEP, oil_on_front_brake="clean")
    assert made.step.target == "fork-oil-lost"
    assert made.step.why == AskedFirst("seal-weep")


def test_a_shock_that_weeps_asks_nothing_of_the_fork(offroad_assessor: Assessor) -> None:
    made = leaking(offroad_assessor, Complained("seal-weep", "rear"), oil_on_rear_brake="clean")
    assert made.step.target != "fork-oil-lost"
