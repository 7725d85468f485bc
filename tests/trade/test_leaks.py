"""A fork leg that weeps: what it has lost, what is looked at with the seal, and who rides."""

from __future__ import annotations

import pytest

from diagnose.advice.assessor import Assessment, Assessor
from diagnose.advice.planning import takes_a_ride
from diagnose.advice.reasons import AskedFirst, NotDoneHere
from diagnose.case.events import Asking, Case, Complained, Corrected, Rode, read_answer
from diagnose.findings.concluding import Raised
from diagnose.words.step_words import no_correction_text, step_text, why_text

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


def test_a_look_at_the_brake_that_is_older_than_a_ride_counts_no_more(
    offroad_assessor: Assessor,
) -> None:
    """Oil close by, seal cleaned, ridden, and it weeps as before: the brake is looked at again."""
    looked = read_answer(offroad_assessor.rules, "oil-on-front-brake", "near")
    events = (Asking("home"), WEEP, HARSH, looked, Corrected("clean-fork-seals"))
    ridden = Case(FORK, {}, (*events, Rode("same", "seal-weep/front")))
    made = offroad_assessor.assess(ridden)
    assert made.bans
    assert (made.step.target, made.step.constraint) == ("oil-on-front-brake", "safety first")
    assert "ridden since" in why_text(offroad_assessor.rules, made.step)
    assert not offroad_assessor.assess(ridden.with_event(looked)).bans


def test_where_the_weep_has_gone_the_brake_is_left_alone(offroad_assessor: Assessor) -> None:
    looked = read_answer(offroad_assessor.rules, "oil-on-front-brake", "near")
    events = (Asking("home"), WEEP, HARSH, looked, Corrected("clean-fork-seals"))
    rides = (Rode("gone", "seal-weep/front"), Rode("same", "harsh/front"))
    assert not offroad_assessor.assess(Case(FORK, {}, (*events, *rides))).bans


def test_oil_on_the_brake_stays_there_whatever_is_ridden(offroad_assessor: Assessor) -> None:
    found = read_answer(offroad_assessor.rules, "oil-on-front-brake", "on-brake")
    made = offroad_assessor.assess(
        Case(FORK, {}, (Asking("home"), WEEP, found, Corrected("clean-fork-seals"), Rode("same")))
    )
    assert [ban.rule for ban in made.bans if isinstance(ban, Raised)] == [
        "leak-reached-front-brake",
        "oil-on-front-brake-do-not-ride",
    ]


@pytest.mark.parametrize("person", ["home", "workshop"])
def test_nobody_rides_on_a_torn_lip(offroad_assessor: Assessor, person: str) -> None:
    rules = offroad_assessor.rules
    answers = {**TORN, "oil-on-front-brake": "near", "fork-oil-start": "tube"}
    said = [read_answer(rules, name, text) for name, text in answers.items()]
    made = offroad_assessor.assess(Case(FORK, {}, (Asking(person), WEEP, HARSH, *said)))
    assert made.bans
    if person == "home":
        assert made.step.kind == "hand-over"
        text = step_text(rules, made.belief.case, made.step).note
        assert "Carry the bike" in text
        assert any("carried" in rules.cautions[name].text for name in made.cautions)
    else:
        assert not takes_a_ride(rules, made.step.target)
        assert "replace-fork-seals" in made.plan.corrections[:1]


def test_once_the_repair_is_known_nothing_tells_apart_what_shares_it(
    offroad_assessor: Assessor,
) -> None:
    """Worn, or spoilt by water: the same seals go in, and a home garage does not fit them."""
    rules = offroad_assessor.rules
    answers = {
        "oil_on_front_brake": "clean",
        "fork_oil_lost": "little",
        "changed_pressure_washed": "yes",
        "weep_which_legs": "both",
        "weep_ring_or_streak": "ring",
        "fork_oil_start": "tube",
        "bleed_hiss": "none",
        "seal_strip_test": "no-change",
        "weep_stops_after_bleeding": "no-change",
        "seal_lip_look": "tired",
    }
    made = leaking(offroad_assessor, WEEP, **answers)
    both = [chance(made, name) for name in ("fork-seal-worn", "fork-seal-water-driven")]
    assert max(both) < rules.policy.settled < sum(both)
    assert made.step.kind == "hand-over" and isinstance(made.step.why, NotDoneHere)
    assert made.step.why.correction == "replace-fork-seals"
    for said in (why_text(rules, made.step), no_correction_text(made)):
        assert "replace the fork seals and wipers" in said and "technician" in said
