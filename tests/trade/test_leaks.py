"""A fork leg that weeps: what it has lost, what is looked at with the seal, and who rides."""

from __future__ import annotations

import pytest

from diagnose.advice.assessor import Assessment, Assessor
from diagnose.advice.planning import takes_a_ride
from diagnose.advice.reasons import AskedFirst, LookAfter, NotDoneHere
from diagnose.case.events import Answered, Asking, Case, Complained, Corrected, Rode, read_answer
from diagnose.findings.concluding import Raised
from diagnose.words.step_words import no_correction_text, step_text, why_text
from rules.rulebase import RuleBase

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


NEW_SEALS = {"replace-fork-seals", "replace-fork-bushings", "flush-fork-and-seals"}


def in_a_workshop(shop: Assessor, *events: Answered | Corrected, **answers: str) -> Assessment:
    said = [read_answer(shop.rules, key.replace("_", "-"), text) for key, text in answers.items()]
    return shop.assess(Case(FORK, {}, (Asking("workshop"), WEEP, *said, *events)))


def rules_against_riding(made: Assessment) -> set[str]:
    return {ban.rule for ban in made.bans if isinstance(ban, Raised)}


@pytest.mark.parametrize("work", ["replace-fork-seals", "clean-fork-seals", "dress-stanchion"])
def test_after_the_work_both_legs_are_pumped_and_seen_dry_before_the_ride(
    offroad_assessor: Assessor, work: str
) -> None:
    rules = offroad_assessor.rules
    told = {"oil_on_front_brake": "clean", "weep_which_legs": "one"}
    made = in_a_workshop(offroad_assessor, Corrected(work), **told)
    assert made.step.target == "weep-which-legs" and made.step.why == LookAfter(work)
    assert "push the fork down" in " ".join(rules.observations["weep-which-legs"].how)
    dry = in_a_workshop(
        offroad_assessor, Corrected(work), Answered("weep-which-legs", "none"), **told
    )
    assert dry.step.kind == "confirm"
    # what is seen after the ride is asked for with it
    assert "Back from the ride" in " ".join(step_text(rules, dry.belief.case, dry.step).how)
    wet = in_a_workshop(
        offroad_assessor, Corrected(work), Answered("weep-which-legs", "one"), **told
    )
    assert wet.step.kind != "confirm" and not takes_a_ride(rules, wet.step.target)


def test_the_ride_proves_every_work_that_was_done_before_it(offroad_assessor: Assessor) -> None:
    rules = offroad_assessor.rules
    work = ("replace-fork-seals", "clean-front-brake")
    done = (Corrected(work[0]), Answered("weep-which-legs", "none"), Corrected(work[1]))
    made = in_a_workshop(
        offroad_assessor, *done, Answered("oil-on-front-brake", "clean"),
        oil_on_front_brake="on-brake",
    )  # fmt: skip
    assert made.step.kind == "confirm"
    how = step_text(rules, made.belief.case, made.step).how
    assert {rules.corrections[name].proof for name in work} <= set(how)


def test_the_brake_below_a_leak_is_cleaned_once_and_as_work_of_its_own(
    offroad_assessor: Assessor, offroad: RuleBase
) -> None:
    case = in_a_workshop(
        offroad_assessor, oil_on_front_brake="on-brake", weep_which_legs="both",
        weep_ring_or_streak="ring", seal_lip_look="perished",
    ).belief.case  # fmt: skip
    steps: list[str] = []
    while (step := offroad_assessor.assess(case).step).kind != "confirm":
        steps.append(step.target)
        if step.kind == "correct":
            case = case.with_event(Corrected(step.target))
        else:
            case = case.with_event(Answered(step.target, offroad.observations[step.target].normal))
    assert steps[steps.index("replace-fork-seals") :] == [
        "replace-fork-seals", "weep-which-legs", "clean-front-brake", "oil-on-front-brake",
    ]  # fmt: skip
    for name in ("replace-fork-seals", "rebuild-shock-seal-head"):
        entry = offroad.corrections[name]
        assert "brake pads" not in " ".join(entry.parts_list)
        assert "work of its own before anybody rides" in " ".join(entry.steps)


def test_the_lip_is_looked_at_before_anything_is_swept_under_it(
    offroad_assessor: Assessor,
) -> None:
    told = {
        "oil_on_front_brake": "clean",
        "fork_oil_lost": "little",
        "changed_jet_at_seals": "no",
        "weep_which_legs": "one",
        "weep_ring_or_streak": "streak",
        "stanchion_nail_test": "smooth",
    }
    made = in_a_workshop(offroad_assessor, **told)
    assert made.step.target == "seal-lip-look"
    swept = in_a_workshop(offroad_assessor, **told, seal_lip_look="supple")
    assert swept.step.target in ("seal-strip-test", "clean-fork-seals")
    cured = in_a_workshop(offroad_assessor, **told, seal_lip_look="supple", seal_strip_test="stops")
    assert cured.step.target == "clean-fork-seals"


def test_a_nick_in_the_lip_needs_new_seals_and_no_ride_before_them(
    offroad_assessor: Assessor,
) -> None:
    told = {
        "oil_on_front_brake": "clean",
        "weep_which_legs": "one",
        "weep_ring_or_streak": "streak",
        "stanchion_nail_test": "smooth",
        "changed_suspension_apart": "no",
        "seal_lip_look": "nicked",
    }
    made = in_a_workshop(offroad_assessor, **told)
    assert made.step.target == "replace-fork-seals"
    assert rules_against_riding(made) == {"fork-lip-torn-and-weeping"}
    swept = in_a_workshop(offroad_assessor, Corrected("clean-fork-seals"), **told)
    assert "fork-lip-torn-and-weeping" in rules_against_riding(swept)
    for work in NEW_SEALS:
        assert not in_a_workshop(offroad_assessor, Corrected(work), **told).bans
    looked = in_a_workshop(offroad_assessor, Corrected("replace-fork-seals"), **told).step
    assert looked.target == "weep-which-legs", "nobody eases the wipers down to see new seals"


@pytest.mark.parametrize(
    ("told", "never"),
    [
        ({"weep_ring_or_streak": "ring"}, "fork-oil-start"),
        ({"weep_ring_or_streak": "streak"}, "fork-oil-start"),
        ({"fork_oil_start": "foot-or-cap"}, "weep-ring-or-streak"),
        ({"weep_which_legs": "none"}, "weep-ring-or-streak"),
    ],
)
def test_what_one_look_has_told_is_not_asked_in_another(
    offroad_assessor: Assessor, told: dict[str, str], never: str
) -> None:
    made = in_a_workshop(offroad_assessor, oil_on_front_brake="clean", **told)
    assert never not in {option.observation for option in made.options}
    open_still = in_a_workshop(offroad_assessor, oil_on_front_brake="clean")
    assert never in {option.observation for option in open_still.options}


def test_whatever_stops_a_leak_lifts_what_its_oil_has_forbidden(
    offroad_assessor: Assessor, offroad: RuleBase
) -> None:
    """Each work for a cause of a weep; oiling the tubes after storage stops no leak that runs."""
    leak = "leak-reached-front-brake"
    until = set(offroad.rules[leak].then.until)
    weeping = {link.cause for link in offroad.links if link.node == "seal-weep/front"}
    work = {offroad.causes[cause].correction for cause in weeping} - {"wake-from-storage"}
    assert work == until == set(offroad.rules["fork-runs-oil-do-not-ride"].then.until)
    for name in work:
        made = in_a_workshop(offroad_assessor, Corrected(name), oil_on_front_brake="on-brake")
        assert rules_against_riding(made) == {"oil-on-front-brake-do-not-ride"}
        looks = offroad.corrections[name].look_after
        assert looks and made.step.target in looks, "seen to have stopped before anything else"
    made = in_a_workshop(
        offroad_assessor, Corrected("clean-front-brake"), oil_on_front_brake="on-brake"
    )
    assert rules_against_riding(made) == {leak}


@pytest.mark.parametrize("person", ["trail", "home", "workshop"])
def test_nobody_cleans_a_brake_while_the_leak_above_it_stays(
    offroad_assessor: Assessor, person: str
) -> None:
    """Where the leak is not put right here the bike is handed over and carried."""
    torn = [
        read_answer(offroad_assessor.rules, name, state)
        for name, state in (("oil-on-front-brake", "on-brake"), ("seal-lip-look", "perished"))
    ]
    made = offroad_assessor.assess(Case(FORK, {}, (Asking(person), WEEP, *torn)))
    assert made.step.target != "clean-front-brake"
    if person != "workshop":
        assert made.step.kind == "hand-over" and made.step.constraint == "safety first"
        text = step_text(offroad_assessor.rules, made.belief.case, made.step)
        assert "Carry the bike there; it is not ridden" in text.note


def test_a_brake_close_to_the_oil_is_looked_at_once_more_before_the_ride(
    offroad_assessor: Assessor,
) -> None:
    done = (Corrected("dress-stanchion"), Answered("weep-which-legs", "none"))
    made = in_a_workshop(offroad_assessor, *done, oil_on_front_brake="near")
    assert (made.step.target, made.step.constraint) == ("oil-on-front-brake", "safety first")


def test_work_on_a_leak_is_no_clash_with_what_was_told_before_it(
    offroad_assessor: Assessor,
) -> None:
    told = {"oil_on_front_brake": "clean", "seal_wipe_and_ride": "film"}
    dry = Answered("weep-which-legs", "none")
    clashes = in_a_workshop(offroad_assessor, dry, **told).belief.findings.contradictions
    assert [clash.rule for clash in clashes] == ["weep-told-but-on-neither"]
    for work, stays in (("replace-fork-seals", False), ("set-front-tyre-pressure", True)):
        made = in_a_workshop(offroad_assessor, Corrected(work), dry, **told)
        assert bool(made.belief.findings.contradictions) == stays


def test_one_wet_look_with_nothing_else_behind_it_is_settled_by_the_ride(
    offroad_assessor: Assessor, offroad: RuleBase
) -> None:
    """The sweep had stopped it; the last drop out of the wiper is no reason to give up."""
    case = in_a_workshop(
        offroad_assessor, Corrected("clean-fork-seals"), Answered("weep-which-legs", "one"),
        oil_on_front_brake="clean", fork_oil_lost="little", weep_which_legs="both",
        weep_ring_or_streak="streak", seal_lip_look="tired", seal_strip_test="stops",
    ).belief.case  # fmt: skip
    while (step := offroad_assessor.assess(case).step).kind not in ("confirm", "hand-over"):
        assert step.kind != "correct"
        case = case.with_event(Answered(step.target, offroad.observations[step.target].normal))
    assert step.kind == "confirm"
