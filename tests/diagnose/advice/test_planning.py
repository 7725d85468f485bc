"""The next step, and what outranks the arithmetic."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.advice.foresight import outcomes
from diagnose.advice.planning import LONGEST_TELLING, OBSERVING, Step, StepKind
from diagnose.advice.reasons import (
    AnswersClash,
    FoundMeanwhile,
    MayComeTo,
    MayForbid,
    NotSafe,
    OneRideMore,
    RiddenSince,
)
from diagnose.authoring.trials.many_faults import faults_of, work_bike
from diagnose.case.events import (
    Answered,
    Asking,
    Case,
    Complained,
    Corrected,
    Declined,
    Insisted,
    Rode,
    read_answer,
    read_target,
    standing,
)
from diagnose.words.step_words import step_text, why_text
from rules.language.conditions import leaves
from rules.language.schema import Rule
from rules.loading.loader import load_pack
from rules.rulebase import RuleBase
from rules.units.quantities import parse_quantity

MakeCase = Callable[..., Case]


def step(shop: Assessor, case: Case) -> Step:
    return shop.assess(case).step


def test_everything_starts_with_the_complaint(mower_assessor: Assessor) -> None:
    assert step(mower_assessor, Case()).kind == "complain"


def test_the_cheap_telling_check_comes_first(
    mower: RuleBase, mower_assessor: Assessor, make_case: MakeCase
) -> None:
    first = step(mower_assessor, make_case(mower, "no-start"))
    assert (first.kind, first.target) == ("inspect", "tank-look")
    assert "fill with fresh fuel" in why_text(mower, first)


def test_what_is_plain_is_put_right_and_ridden_before_anything_else(
    mower: RuleBase, mower_assessor: Assessor, make_case: MakeCase
) -> None:
    case = make_case(mower, "no-start", stood_all_winter="no", tank_look="empty")
    first = step(mower_assessor, case)
    assert (first.kind, first.target) == ("correct", "fill-up")
    case = case.with_event(Corrected("fill-up"))
    ride = step(mower_assessor, case)
    assert (ride.kind, ride.constraint) == ("confirm", "one change at a time")
    proven = mower_assessor.assess(case.with_event(Rode("gone")))
    assert proven.step.kind == "close"
    assert proven.plan.corrections == ()
    # an empty tank was seen, and nothing else is likely: the ride is doubted first, but once only
    case = case.with_event(Rode("same"))
    again = step(mower_assessor, case)
    assert isinstance(again.why, OneRideMore)
    assert again.kind == "confirm"
    after = step(mower_assessor, case.with_event(Rode("same")))
    assert after.kind in ("ask", "inspect", "measure", "correct")
    assert after.target != "fill-up"


def test_nothing_is_opened_while_an_outside_cause_can_be_checked(
    edited_pack: Callable[..., Path], make_case: MakeCase
) -> None:
    """Even where opening it would be the cheaper look by far."""
    quick = load_pack(
        edited_pack("    minutes: 30\n    opens: true", "    minutes: 1\n    opens: true")
    )
    case = make_case(quick, "no-start", tank_look="fresh", stood_all_winter="yes")
    assessment = Assessor(quick).assess(case)
    assert assessment.ranking.causes[0].cause == "carburettor-gummed"
    best = max(assessment.options, key=lambda option: option.net)
    assert best.observation == "carburettor-inside"
    assert assessment.step.target != "carburettor-inside"
    assert assessment.step.constraint == "outside before inside"
    assert "Nothing is opened while plug worn" in why_text(quick, assessment.step)


def test_it_is_opened_once_the_outside_is_cleared(
    mower: RuleBase, mower_assessor: Assessor, make_case: MakeCase
) -> None:
    case = make_case(
        mower, "no-start", tank_look="fresh", stood_all_winter="yes",
        plug_gap_reading="0.6 mm", spark_seen="sparks",
    )  # fmt: skip
    opened = step(mower_assessor, case)
    assert opened.target in ("carburettor-inside", "clean-carburettor")


def test_what_no_outside_check_would_spare_is_opened_once_the_tyre_was_gauged(
    offroad: RuleBase, offroad_assessor: Assessor, make_case: MakeCase
) -> None:
    """Oil told to be too thick is changed whatever else is wrong outside."""
    told = {"changed_suspension_apart": "yes", "better_when_warm": "yes"}
    case = make_case(
        offroad, "harsh/front", **told, fork_oil_grade_known="thicker", fork_oil_colour="fresh"
    )
    gauge = step(offroad_assessor, case)
    assert (gauge.target, gauge.constraint) == ("front-tyre-gauge", "outside before inside")
    opened = step(offroad_assessor, case.with_event(Answered("front-tyre-gauge")))
    assert (opened.kind, opened.target) == ("correct", "change-fork-oil")


def test_oil_that_is_only_likely_waits_for_the_outside(
    offroad: RuleBase, offroad_assessor: Assessor, make_case: MakeCase
) -> None:
    case = make_case(
        offroad, "slow-return/front", changed_suspension_apart="yes", better_when_warm="yes",
        fork_oil_grade_known="unsure", fork_oil_colour="dark", front_bounce_test="slow",
    )  # fmt: skip
    assessment = offroad_assessor.assess(case)
    assert offroad_assessor.planner.outside_still_open(assessment.belief, assessment.options)
    assert not offroad.observations[assessment.step.target].opens
    assert assessment.step.constraint == "outside before inside"


def test_of_short_checks_of_likely_suspects_the_likeliest_to_settle_one_comes_first(
    offroad: RuleBase, offroad_assessor: Assessor, make_case: MakeCase
) -> None:
    """Not the one that can only make the likeliest suspect a little likelier."""
    seen = set()
    for complaint in ("packing/front", "slow-return/front", "arms-hurt", "harsh/front"):
        case = make_case(offroad, complaint, changed_suspension_apart="yes", better_when_warm="yes")
        assessment = offroad_assessor.assess(case)
        first = assessment.step
        if not isinstance(first.why, MayComeTo):
            continue
        assert first.minutes <= LONGEST_TELLING
        after = [
            offroad_assessor.assess(case.with_event(Answered(first.target, state)))
            for state in offroad.observations[first.target].states
        ]
        settled = offroad.policy.settled
        seen.add(any(one.belief.open_marginal.max() >= settled for one in after))
    assert seen == {True}


def test_danger_is_looked_at_before_anybody_rides(
    mower: RuleBase, mower_assessor: Assessor, make_case: MakeCase
) -> None:
    first = step(mower_assessor, make_case(mower, "vibration/deck"))
    assert (first.target, first.constraint) == ("blade-wobble", "safety first")


def test_a_do_not_ride_is_put_right_and_looked_at_again(
    mower: RuleBase, mower_assessor: Assessor, make_case: MakeCase
) -> None:
    case = make_case(mower, "vibration/deck", blade_wobble="yes")
    first = step(mower_assessor, case)
    assert (first.kind, first.target, first.constraint) == ("correct", "new-blade", "safety first")
    case = case.with_event(Corrected("new-blade"))
    again = step(mower_assessor, case)
    assert (again.kind, again.target) == ("inspect", "blade-wobble")
    case = case.with_event(Answered("blade-wobble", state="no"))
    assert step(mower_assessor, case).kind == "confirm"


@pytest.mark.parametrize(
    "unknown", [Answered("blade-wobble"), Answered("blade-wobble", cannot_here=True)]
)
def test_a_do_not_ride_stands_while_nobody_knows_better(
    mower: RuleBase, mower_assessor: Assessor, make_case: MakeCase, unknown: Answered
) -> None:
    case = make_case(mower, "vibration/deck", blade_wobble="yes").with_event(unknown)
    assert step(mower_assessor, case).kind == "correct"
    case = case.with_event(Corrected("new-blade")).with_event(unknown)
    # what else shakes it is looked at first
    assert step(mower_assessor, case).target == "left-height"
    case = case.with_event(Answered("left-height"))
    assessment = mower_assessor.assess(case)
    assert assessment.belief.findings.do_not_ride
    assert assessment.step.kind == "hand-over"
    assert why_text(mower, assessment.step).endswith("Nobody could say that it is put right.")
    seen = mower_assessor.assess(case.with_event(Answered("blade-wobble", state="no")))
    assert not seen.belief.findings.do_not_ride
    assert seen.step.kind == "confirm"


@pytest.mark.parametrize("kind", ["inspection", "ride-test"])
def test_no_unknown_answer_lifts_a_do_not_ride_of_the_pack_that_ships(
    offroad: RuleBase, offroad_assessor: Assessor, kind: str
) -> None:
    tried = 0
    for key, rule in offroad.rules.items():
        named = [(leaf, name) for leaf, _ in leaves(rule.when) for name in leaf.names]
        if rule.then.do_not_ride is None or len(named) != 1:
            continue
        leaf, name = named[0]
        entry = offroad.observations.get(name)
        if entry is None or entry.kind != kind or entry.needs:
            continue
        bad = next(s for s in entry.states if s != entry.normal and s in str(leaf.model_dump()))
        case = Case(
            events=(Complained("harsh", "front"), Answered(name, state=bad), Answered(name))
        )
        raised = offroad_assessor.assess(case).belief.findings.do_not_ride
        assert key in [item.rule for item in raised]
        tried += 1
    assert tried


def test_a_complaint_after_the_ride_that_proved_it_is_worked_on(
    mower: RuleBase, mower_assessor: Assessor, make_case: MakeCase
) -> None:
    case = make_case(mower, "no-start", tank_look="empty").with_event(Corrected("fill-up"))
    gone = case.with_event(Rode("gone"))
    assert step(mower_assessor, gone).kind == "close"
    again = gone.with_event(Complained("no-start"))
    assert standing(again).still_felt == (Complained("no-start"),)
    assert step(mower_assessor, again).kind != "close"  # it came back
    more = gone.with_event(Complained("vibration", "deck"))
    assert step(mower_assessor, more).target == "blade-wobble"
    while_riding = case.with_event(Complained("vibration", "deck")).with_event(Rode("gone"))
    assert step(mower_assessor, while_riding).target == "blade-wobble"
    mended = more.with_event(Corrected("new-blade"))
    assert standing(mended).due == (Complained("vibration", "deck"),)
    assert step(mower_assessor, mended.with_event(Rode("gone"))).kind == "close"


def test_what_is_declined_keeps_nothing_else_out_of_the_plan(
    offroad: RuleBase, offroad_assessor: Assessor
) -> None:
    """Even where a cheap check of what is declined is still open."""
    seen = 0
    for complaint in ("harsh/front", "wallowing", "deflection/front"):
        name, _, place = complaint.partition("/")
        case = Case(events=(Complained(name, place or None),))
        plan = offroad_assessor.assess(case).plan
        if len(plan.corrections) < 2:
            continue
        seen += 1
        without = offroad_assessor.assess(case.with_event(Declined(plan.corrections[0]))).plan
        assert without.corrections
        assert plan.corrections[0] not in without.corrections
    assert seen


def test_a_do_not_ride_that_cannot_be_put_right_goes_to_a_specialist(
    mower: RuleBase, mower_assessor: Assessor, make_case: MakeCase
) -> None:
    case = make_case(mower, "vibration/deck", blade_wobble="yes")
    declined = case.with_event(Declined("new-blade"))
    assert step(mower_assessor, declined).kind == "hand-over"


def test_answers_that_do_not_fit_are_asked_about_until_they_stand(
    mower: RuleBase, mower_assessor: Assessor, make_case: MakeCase
) -> None:
    case = make_case(mower, "no-start", spark_seen="sparks", plug_gap_reading="4 mm")
    again = step(mower_assessor, case)
    assert (again.kind, again.target) == ("check-again", "empty-yet-sparks-wide")
    told = mower.rules[again.target].then
    assert isinstance(again.why, AnswersClash)
    first = mower.observations[again.why.check[0]]
    assert set(again.why.check) == set(told.check)
    # a look is likelier to have been wrong than a figure
    assert (first.kind, again.minutes) == ("inspection", first.minutes)
    assert why_text(mower, again) == f"{told.contradiction} Check first: {first.ask}"
    assert step(mower_assessor, case.with_event(Insisted(again.target))).kind != "check-again"
    mended = case.with_event(read_answer(mower, "plug-gap-reading", "0.6 mm"))
    assert step(mower_assessor, mended).kind != "check-again"


def test_a_declined_correction_is_not_asked_for_again(
    mower: RuleBase, mower_assessor: Assessor, make_case: MakeCase
) -> None:
    case = make_case(mower, "no-start", stood_all_winter="no", tank_look="empty")
    declined = case.with_event(Declined("fill-up"))
    assert step(mower_assessor, declined).target != "fill-up"


def test_what_could_not_be_seen_is_not_asked_twice(
    mower: RuleBase, mower_assessor: Assessor
) -> None:
    case = Case(events=(Complained("no-start"),))
    seen = set()
    for _ in range(30):
        current = step(mower_assessor, case)
        if current.kind in ("correct", "hand-over"):
            break
        assert current.target not in seen
        seen.add(current.target)
        case = case.with_event(Answered(current.target))
    else:
        pytest.fail("never came to an end")


@pytest.mark.parametrize("complaint", ["no-start", "vibration", "vibration/handle"])
def test_a_rider_who_knows_nothing_still_gets_to_an_end(
    mower: RuleBase, mower_assessor: Assessor, make_case: MakeCase, complaint: str
) -> None:
    case = make_case(mower, complaint)
    for _ in range(40):
        current = step(mower_assessor, case)
        if current.kind in ("close", "hand-over"):
            return
        if current.kind == "correct":
            case = case.with_event(Declined(current.target))
        else:
            case = case.with_event(Answered(current.target))
    pytest.fail("never came to an end")


def test_a_rule_too_wide_for_the_engine_is_named_with_its_line(
    edited_pack: Callable[..., Path],
) -> None:
    leaves = ", ".join(
        f"{{fact: {name}, is: {state}}}"
        for name, state in [
            ("hit-a-stone", '"yes"'), ("stood-all-winter", '"yes"'), ("tank-look", "stale"),
            ("spark-seen", "none"), ("blade-wobble", '"yes"'), ("engine", "petrol"),
            ("size", "small"),
        ]
    )  # fmt: skip
    folder = edited_pack('{fact: blade-wobble, is: "yes"}\n', f"{{all: [{leaves}]}}\n")
    rules = load_pack(folder)
    with pytest.raises(ValueError, match=r"pack.yaml:\d+:1: error\[engine\] at rules.blade-loose"):
        Assessor(rules)


def test_what_a_reading_warns_of_stands_until_it_is_dealt_with(
    offroad: RuleBase, offroad_assessor: Assessor, make_case: MakeCase
) -> None:
    """A tyre far too soft: on the step at once, on the ride before it is pumped up, not after."""
    soft = make_case(offroad, "harsh/front", front_tyre_gauge="2 psi")
    assessment = offroad_assessor.assess(soft)
    assert "tyres-soft" in assessment.cautions
    text = step_text(offroad, soft, assessment.step, assessment.cautions)
    assert text.cautions[0] == offroad.cautions["tyres-soft"].text
    other = soft.with_event(Corrected("bleed-forks"))
    assert "tyres-soft" in offroad_assessor.assess(other).cautions
    pumped = soft.with_event(Corrected("set-front-tyre-pressure"))
    assert "tyres-soft" not in offroad_assessor.assess(pumped).cautions


def test_beside_a_question_stands_only_what_the_latest_answer_raised(
    offroad: RuleBase, offroad_assessor: Assessor, make_case: MakeCase
) -> None:
    case = make_case(offroad, "harsh/front", front_tyre_gauge="2 psi")
    belief = offroad_assessor.model.believe(case)
    question = Step("ask", "fork-oil-hours", None, 1.0)
    assert offroad_assessor.planner.cautions(belief, question) == ("tyres-soft",)
    later = case.with_event(read_answer(offroad, "front-tyre-thumb", "dont-know"))
    belief = offroad_assessor.model.believe(later)
    assert offroad_assessor.planner.cautions(belief, question) == ()
    work = replace(question, kind="correct")
    assert offroad_assessor.planner.cautions(belief, work) == ("tyres-soft",)


@pytest.mark.parametrize(
    ("per_100", "settles", "minutes", "opens", "expected"),
    [
        (1.2, True, 5.0, False, "blade-wobble"),
        (1.2, False, 4.0, False, "hit-a-stone"),
        (0.5, True, 4.0, False, "hit-a-stone"),
        (2.0, False, 5.0, False, "blade-wobble"),
        (2.0, False, 5.1, False, "hit-a-stone"),
        (2.0, True, 4.0, True, "hit-a-stone"),
    ],
)
def test_a_short_check_of_a_likely_suspect_goes_before_questions(
    mower: RuleBase, per_100: float, settles: bool, minutes: float, opens: bool, expected: str
) -> None:
    """From a chance of 0.2, or of 0.1 where it settles the matter; of five minutes at most, and
    only where nothing is opened for it. Chances of the suspect: 0.07, 0.16, 0.24."""
    seen, causes = dict(mower.observations), dict(mower.causes)
    seen["blade-wobble"] = seen["blade-wobble"].model_copy(
        update={
            "minutes": minutes,
            "safety": False,
            "opens": opens,
            "settles": {"blade-bent": ("yes",)} if settles else {},
        }
    )
    causes["blade-bent"] = causes["blade-bent"].model_copy(
        update={"per_100": per_100, "unsafe": False}
    )
    shop = Assessor(replace(mower, observations=seen, causes=causes))
    made = shop.assess(Case(events=(Complained("vibration", "deck"),)))
    bent = shop.model.network.cause_index["blade-bent"]
    chance = {0.5: 0.07, 1.2: 0.16, 2.0: 0.24}[per_100]
    assert made.belief.marginal[bent] == pytest.approx(chance, abs=0.005)
    assert made.step.target == expected
    assert isinstance(made.step.why, MayComeTo) is (expected == "blade-wobble")


def test_what_may_forbid_riding_is_looked_at_where_that_is_likely_enough(mower: RuleBase) -> None:
    """Even where no cause of it is dangerous by itself; from the chance that the pack says."""
    causes = dict(mower.causes)
    causes["blade-bent"] = causes["blade-bent"].model_copy(update={"unsafe": False})
    case = Case(events=(Complained("vibration", "deck"),))
    harmless = Assessor(replace(mower, causes=causes))
    seen = outcomes(harmless.model, harmless.model.believe(case), "blade-wobble")
    chance = next(outcome.chance for outcome in seen if outcome.state == "yes")
    found = []
    for look_from in (chance - 1e-9, chance + 1e-9):
        policy = mower.policy.model_copy(update={"look_from": look_from})
        made = step(Assessor(replace(mower, causes=causes, policy=policy)), case)
        found.append((made.target, made.constraint, isinstance(made.why, MayForbid)))
        if isinstance(made.why, MayForbid):
            assert made.why.chance == pytest.approx(chance)
    assert found[0] == ("blade-wobble", "safety first", True)
    assert found[1][1:] == ("", False)


def test_nobody_rides_before_what_lifts_a_ban_was_looked_at_since_the_ride(
    mower: RuleBase,
) -> None:
    """Whether it bears on the complaint or not, and again once a ride has made the look old."""
    seen = dict(mower.observations)
    seen["blade-wobble"] = seen["blade-wobble"].model_copy(
        update={"again_after": {"vibration/deck": ("no",)}}
    )

    def shop(fact: str, state: str) -> Assessor:
        firm = {"not": {"fact": "blade-wobble", "is": "no"}}
        when = {"all": [{"fact": fact, "is": state}, firm]}
        then = {"do_not_ride": "Nobody has looked at the blade."}
        rule = Rule.model_validate({"when": when, "then": then, "source": "made-up"})
        return Assessor(replace(mower, rules={"unlooked": rule}, observations=seen))

    firm = Answered("blade-wobble", "no")
    shaking = Case(events=(Complained("vibration", "deck"), firm, Corrected("set-heights")))
    on_shaking = shop("vibration/deck", "yes")
    assert step(on_shaking, shaking).kind == "confirm"
    ridden = shaking.with_event(Rode("same"))
    look = step(on_shaking, ridden)
    assert (look.kind, look.target, look.constraint) == ("inspect", "blade-wobble", "safety first")
    assert look.why == RiddenSince("unlooked")
    assert step(on_shaking, ridden.with_event(firm)).why != RiddenSince("unlooked")

    stale = Case(events=(Complained("no-start"), Answered("tank-look", "stale")))
    look = step(shop("tank-look", "stale"), stale)
    assert (look.kind, look.target, look.constraint) == ("inspect", "blade-wobble", "safety first")
    assert look.why == NotSafe("unlooked", unseen=False)


def test_what_a_complaint_warns_of_is_over_once_a_ride_reports_it_gone(mower: RuleBase) -> None:
    """Only where the pack has it carried along, and only of that complaint."""
    when = {"fact": "vibration/deck", "is": "yes"}
    shaking = {"when": when, "then": {"caution": "clear-ground"}, "source": "made-up"}
    rules = {**mower.rules, "shaking": Rule.model_validate(shaking)}
    deck, dead = Complained("vibration", "deck"), Complained("no-start")
    felt = Case(events=(deck, dead, Corrected("set-heights")))
    said = []
    for carried in ((), ("clear-ground",)):
        policy = mower.policy.model_copy(update={"carry_cautions": carried})
        shop = Assessor(replace(mower, rules=rules, policy=policy))
        for ride in (Rode("same", deck.key), Rode("gone", dead.key), Rode("gone", deck.key)):
            belief = shop.model.believe(felt.with_event(ride))
            kinds: tuple[StepKind, ...] = ("correct", "confirm")
            steps = (Step(kind, "set-heights", None, 5.0) for kind in kinds)
            said += [len(shop.planner.cautions(belief, taken)) for taken in steps]
    assert said == [1, 1, 1, 1, 1, 1, 1, 0, 1, 0, 0, 0]


def test_what_is_carried_along_is_over_with_the_ride_and_the_end(mower: RuleBase) -> None:
    """Whatever it was raised by; what is not carried along stands at every step."""
    told = (Complained("no-start"), Answered("stood-all-winter", "yes"))
    case = Case(events=(*told, Answered("tank-look", "stale"), Corrected("new-plug"), Rode("gone")))
    kinds: tuple[StepKind, ...] = ("correct", "hand-over", "confirm", "close")
    for carried, said in (((), [1, 1, 1, 1]), (("clear-ground",), [1, 1, 0, 0])):
        policy = mower.policy.model_copy(update={"carry_cautions": carried})
        shop = Assessor(replace(mower, policy=policy))
        belief = shop.model.believe(case)
        steps = (Step(kind, "new-plug", None, 5.0) for kind in kinds)
        assert [len(shop.planner.cautions(belief, taken)) for taken in steps] == said


def test_a_correction_names_what_was_read_and_what_it_should_be(
    offroad: RuleBase, make_case: MakeCase
) -> None:
    case = make_case(offroad, "harsh/front", front_tyre_gauge="25 psi")
    case = case.on_machine({}, dict([read_target(offroad, "front-tyre-pressure", "0.9 bar")]))
    note = step_text(offroad, case, Step("correct", "set-front-tyre-pressure", None, 3.0)).note
    assert "25 psi, should be 13.1 psi (as given)." in note  # 0.9 bar, in the reading's unit


def test_the_plan_says_which_check_goes_before_the_work(
    offroad: RuleBase, offroad_assessor: Assessor, make_case: MakeCase
) -> None:
    """And that no check is left once it was made."""
    case = make_case(offroad, "harsh/front")
    plan = offroad_assessor.assess(case).plan
    assert len(plan.checks) == len(plan.corrections) > 1
    at = plan.corrections.index("set-front-tyre-pressure")
    check = plan.checks[at]
    assert check is not None
    assert check < offroad.corrections["set-front-tyre-pressure"].minutes + 1
    answered = make_case(
        offroad, "harsh/front", front_tyre_gauge="25 psi", front_tyre_thumb="dont-know",
        front_rim_knocks="dont-know", front_wheel_swapped_ride="dont-know",
    )  # fmt: skip
    plan = offroad_assessor.assess(answered).plan
    assert plan.checks[plan.corrections.index("set-front-tyre-pressure")] is None


def test_a_gauge_at_hand_comes_first_where_the_tyre_is_a_suspect(
    offroad_assessor: Assessor,
) -> None:
    """Within the first three steps; a thumb on the tread only where there is no gauge."""
    told = (Asking("workshop"), Complained("harsh", "front"), Complained("deflection", "front"))
    case = Case(events=told)
    asked = []
    for _ in range(3):
        made = offroad_assessor.assess(case)
        asked.append(made.step.target)
        case = case.with_event(Answered(made.step.target))
    assert "front-tyre-gauge" in asked
    assert "front-tyre-thumb" not in {
        o.observation for o in offroad_assessor.assess(Case(events=told)).options
    }
    without = Case(events=(*told, Answered("front-tyre-gauge", cannot_here=True)))
    assert "front-tyre-thumb" in {o.observation for o in offroad_assessor.assess(without).options}
    trail = Case(events=(Asking("trail"), *told[1:]))
    assert "front-tyre-thumb" in {o.observation for o in offroad_assessor.assess(trail).options}


def test_a_ride_is_not_doubted_where_something_else_is_felt_too(
    offroad: RuleBase, offroad_assessor: Assessor
) -> None:
    """A front tyre explains what the front does, and no squeak behind."""
    phases = [name for name, entry in offroad.observations.items() if entry.phase]
    nothing = ("changed-settings", "changed-never-bled", "changed-front-wheel-out",
               "changed-front-tyre-new", "changed-nothing-slow-onset", "changed-rear-tyre-new",
               "changed-stored-long", "changed-jet-at-seals")  # fmt: skip
    said = {
        "changed-deep-water": "yes",
        "rear-squeak": "squeaks",
        **dict.fromkeys((*phases, *nothing), "no"),
        "shows-rocks-roots": "yes",
        "front-tyre-gauge": "20 psi",
    }
    case = Case(
        events=(
            Complained("deflection"),
            Complained("noise", "rear"),
            *(read_answer(offroad, name, text) for name, text in said.items()),
            Corrected("set-front-tyre-pressure"),
            Rode("same", "deflection"),
            Rode("same", "noise/rear"),
        )
    )
    assert step(offroad_assessor, case).kind in OBSERVING.values()


def test_what_was_ruled_out_is_not_asked_about_further(offroad_assessor: Assessor) -> None:
    said = Case(events=(Complained("seal-weep", "front"),))
    assert "changed-jet-at-seals" in {o.observation for o in offroad_assessor.assess(said).options}
    never = said.with_event(Answered("changed-pressure-washed", state="no"))
    assert "changed-jet-at-seals" not in {
        o.observation for o in offroad_assessor.assess(never).options
    }


def test_a_leak_is_stopped_before_the_brake_below_it_is_cleaned(
    offroad_assessor: Assessor,
) -> None:
    """Common practice: a brake cleaned under a weeping seal is oily again at once."""
    oily = Answered("oil-on-front-brake", "on-brake")
    torn = Answered("seal-lip-look", "perished")
    case = Case(events=(Asking("workshop"), Complained("seal-weep", "front"), oily, torn))
    done: list[str] = []
    while (made := offroad_assessor.assess(case)).bans:
        take = made.step
        assert take.constraint == "safety first"
        if take.kind == "correct":
            done.append(take.target)
            case = case.with_event(Corrected(take.target))
        elif take.target == "oil-on-front-brake":
            dry = "clean-front-brake" in done
            case = case.with_event(Answered(take.target, "clean" if dry else "on-brake"))
        elif done and take.target == "seal-lip-look":
            case = case.with_event(Answered("seal-lip-look", "supple"))
        else:
            case = case.with_event(Answered(take.target))
    assert done == ["replace-fork-seals", "clean-front-brake"]


def test_what_was_found_is_put_right_while_nobody_may_ride(offroad_assessor: Assessor) -> None:
    rules = offroad_assessor.rules
    hard = read_answer(rules, "rear-tyre-gauge", "25 psi")
    target = {"rear-tyre-pressure": parse_quantity("12 psi", "psi")}
    crooked = Answered("legs-come-straight", "stays-crooked")
    told = (Asking("workshop"), Complained("harsh", "rear"), crooked, hard)
    case = Case({}, target, told)
    seen: list[Step] = []
    while (take := step(offroad_assessor, case)).kind != "hand-over":
        seen.append(take)
        if take.kind == "correct":
            case = case.with_event(Corrected(take.target))
        elif take.target == "legs-come-straight":
            case = case.with_event(crooked)
        else:
            normal = rules.observations[take.target].normal
            case = case.with_event(Answered(take.target, state=normal))
    assert seen[-1].target == "set-rear-tyre-pressure"
    assert isinstance(seen[-1].why, FoundMeanwhile)
    assert isinstance(take.why, NotSafe)


@pytest.mark.long
def test_a_workshop_does_the_likeliest_work_left_before_it_gives_up(
    offroad_assessor: Assessor,
) -> None:
    """A shock that leaks was missed by the look; no check is left, and it is likelier than not."""
    bike = work_bike(offroad_assessor, 163, faults_of(163))
    assert "shock-seal-leaking" in bike.put_right
    assert bike.wrong == ()


def test_two_readings_that_only_tell_together_are_one_step(offroad_assessor: Assessor) -> None:
    rules, left, right = offroad_assessor.rules, "rear-adjuster-left", "rear-adjuster-right"
    case = Case(events=(Complained("pulls"),))
    while (first := step(offroad_assessor, case)).target != left:
        entry = rules.observations[first.target]
        normal = None if entry.unit else entry.normal
        case = case.with_event(Answered(first.target, normal))
    assert first.partner == right
    assert first.minutes == rules.observations[left].minutes
    assert "chain adjuster on the right" in step_text(rules, case, first).note
    second = step(offroad_assessor, case.with_event(read_answer(rules, left, "20 mm")))
    assert (second.target, second.partner) == (right, "")
    assert "goes with a reading already made: chain adjuster on the left" in why_text(rules, second)
    # with one of them not to be had, the other tells nothing
    unknown = step(offroad_assessor, case.with_event(Answered(left)))
    assert unknown.target != right


def test_half_of_a_pair_told_among_other_things_brings_its_other_half_next(
    offroad_assessor: Assessor,
) -> None:
    rules = offroad_assessor.rules
    told = (
        Answered("changed-front-wheel-out", "yes"),
        read_answer(rules, "fork-protrusion-left", "8 mm"),
        read_answer(rules, "front-tyre-gauge", "13 psi"),
    )
    case = Case(events=(Complained("pulls"), *told))
    take = step(offroad_assessor, case)
    assert take.target == "fork-protrusion-right"
    assert "goes with a reading already made" in why_text(rules, take)
