"""What is offered when answers move nothing."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from diagnose.advice.assessor import Assessment, Assessor
from diagnose.advice.reasons import BestGuess, SettlesMost
from diagnose.advice.sheet import sheet
from diagnose.advice.standstill import Standstill, effect_of, longest_idle, standstill
from diagnose.case.events import (
    Answered,
    Asking,
    Case,
    Complained,
    Corrected,
    Event,
    Noted,
    Rode,
    read_answer,
)
from diagnose.diagnosis import Diagnosis
from diagnose.inference.posterior import nothing_left
from rules.rulebase import RuleBase

REAR = Complained("harsh", "rear")
MakeCase = Callable[..., Case]


def unknown(diagnosis: Diagnosis, times: int) -> None:
    """Nobody knows, to whatever is asked."""
    for _ in range(times):
        diagnosis.add(Answered(diagnosis.assessment.step.target))


def begun(shop: Assessor, *events: Complained | Asking) -> Diagnosis:
    diagnosis = Diagnosis(shop)
    diagnosis.add(*(events or (REAR,)))
    return diagnosis


def offered(diagnosis: Diagnosis) -> Standstill:
    found = diagnosis.standstill
    assert found is not None
    return found


def test_the_third_answer_that_moves_nothing_brings_an_offer(offroad_assessor: Assessor) -> None:
    diagnosis = begun(offroad_assessor)
    for _ in range(3):
        assert diagnosis.standstill is None
        unknown(diagnosis, 1)
    found, assessment = offered(diagnosis), diagnosis.assessment
    assert found.idle == 3
    chances = dict(zip(assessment.plan.corrections, assessment.plan.chances, strict=True))
    assert found.guess is not None and found.guess.kind == "correct"
    assert chances[found.guess.target] == max(chances.values())
    assert isinstance(found.guess.why, BestGuess)
    rules = offroad_assessor.rules
    assert rules.causes[found.guess.why.cause].correction == found.guess.target
    assert found.guess.why.chance == pytest.approx(
        assessment.ranking.find(found.guess.why.cause).probability
    )


def test_what_settles_most_is_open_and_confirms_a_suspect_that_is_likely(
    offroad_assessor: Assessor,
) -> None:
    diagnosis = begun(offroad_assessor)
    unknown(diagnosis, 3)
    settling, assessment = offered(diagnosis).settling, diagnosis.assessment
    assert settling is not None and isinstance(settling.why, SettlesMost)
    assert settling.why.cause in assessment.model.confirms[settling.target]
    nodes = {option.node for option in assessment.options}
    assert settling.target in nodes
    policy = offroad_assessor.rules.policy
    assert policy.outside_floor <= settling.why.chance < policy.settled
    chances = {item.cause: item.probability for item in assessment.ranking.causes}
    alone = nodes & offroad_assessor.rules.observations.keys()
    can_confirm = set[str]().union(*(assessment.model.confirms.get(n, ()) for n in alone))
    assert settling.why.chance >= max(chances.get(cause, 0.0) for cause in can_confirm) - 0.01


def test_what_is_left_to_ask_gets_less(offroad_assessor: Assessor) -> None:
    diagnosis = begun(offroad_assessor)
    unknown(diagnosis, 3)
    left = offered(diagnosis).left
    unknown(diagnosis, 3)
    assert 0 < offered(diagnosis).left < left


def test_what_is_left_is_what_the_sheet_offers(offroad_assessor: Assessor) -> None:
    diagnosis = begun(offroad_assessor)
    for _ in range(2):
        unknown(diagnosis, 3)
        rows = sheet(offroad_assessor, diagnosis.assessment).rows
        checks = [row for row in rows if row.kind in ("next", "settles", "useful")]
        assert offered(diagnosis).left == len([row for row in checks if not row.is_work])


def test_an_answer_that_moves_something_ends_the_run(offroad_assessor: Assessor) -> None:
    diagnosis = begun(offroad_assessor)
    unknown(diagnosis, 1)
    assert diagnosis.assessment.step.target == "rear-tyre-thumb"
    diagnosis.add(read_answer(offroad_assessor.rules, "rear-tyre-thumb", "hard"))
    assert diagnosis.standstill is None
    diagnosis.undo()
    unknown(diagnosis, 2)
    assert diagnosis.standstill is not None


def test_who_answers_on_is_left_alone_until_three_more_moved_nothing(
    offroad_assessor: Assessor,
) -> None:
    diagnosis = begun(offroad_assessor)
    unknown(diagnosis, 3)
    for _ in range(2):
        unknown(diagnosis, 1)
        assert diagnosis.standstill is None
    unknown(diagnosis, 1)
    assert offered(diagnosis).idle == 6


def test_a_note_neither_counts_nor_interrupts(offroad_assessor: Assessor) -> None:
    diagnosis = begun(offroad_assessor)
    unknown(diagnosis, 2)
    diagnosis.add(Noted("it rained"))
    assert diagnosis.standstill is None
    unknown(diagnosis, 1)
    diagnosis.add(Noted("still"))
    assert offered(diagnosis).idle == 3


@pytest.mark.parametrize(
    "between",
    [Answered("rear-squeak"), Complained("wallowing"), Asking("home")],
    ids=["not asked for", "another complaint", "another person"],
)
def test_whatever_else_is_said_begins_anew(offroad_assessor: Assessor, between: Event) -> None:
    diagnosis = begun(offroad_assessor)
    unknown(diagnosis, 2)
    diagnosis.add(between)
    unknown(diagnosis, 2)
    assert diagnosis.standstill is None
    unknown(diagnosis, 1)
    assert offered(diagnosis).idle == 3


def test_nothing_is_offered_where_no_question_is_asked(offroad_assessor: Assessor) -> None:
    diagnosis = begun(offroad_assessor)
    unknown(diagnosis, 3)
    diagnosis.add(Corrected("set-rear-sag"))
    while diagnosis.assessment.step.kind == "measure":  # what is due before any ride
        assert diagnosis.standstill is None
        unknown(diagnosis, 1)
    assert diagnosis.assessment.step.kind == "confirm"
    assert diagnosis.standstill is None


def test_nothing_is_offered_in_place_of_a_look_for_danger(offroad_assessor: Assessor) -> None:
    """It comes as soon as safety is no longer what is asked for."""
    diagnosis = begun(offroad_assessor, Complained("headshake"))
    asked = 0
    while diagnosis.assessment.step.constraint == "safety first":
        assert diagnosis.standstill is None
        unknown(diagnosis, 1)
        asked += 1
    assert asked >= 3
    assert offered(diagnosis).idle == asked


def test_nothing_is_opened_on_a_guess_while_an_outside_cause_can_be_checked(
    offroad_assessor: Assessor,
) -> None:
    rules, seen = offroad_assessor.rules, 0
    for complaint in ("harsh", "wallowing", "headshake"):
        diagnosis = begun(offroad_assessor, Complained(complaint))
        for _ in range(9):
            assessment = diagnosis.assessment
            if assessment.step.target not in rules.observations:
                break
            found = diagnosis.standstill
            if found is not None and offroad_assessor.planner.outside_still_open(
                assessment.belief, assessment.options
            ):
                seen += 1
                guess, settling = found.guess, found.settling
                if guess is not None and guess.kind == "correct":
                    assert not rules.corrections[guess.target].opens
                assert settling is None or not rules.observations[settling.target].opens
            unknown(diagnosis, 1)
    assert seen >= 2


def test_handing_over_is_the_guess_where_nothing_left_pays(offroad_assessor: Assessor) -> None:
    """On the trail little can be done, so that nothing is worth trying in the end."""
    diagnosis = begun(offroad_assessor, Asking("trail"), Complained("seal-weep"))
    kinds = set()
    while diagnosis.assessment.step.target in offroad_assessor.rules.observations:
        found = diagnosis.standstill
        pays = any(option.net > 0 for option in diagnosis.assessment.options)
        if found is not None and found.guess is not None:
            kinds.add(found.guess.kind)
            if found.guess.kind == "hand-over":
                assert not pays and not diagnosis.assessment.plan.corrections
        unknown(diagnosis, 1)
    assert kinds == {"correct", "hand-over"}


def test_one_half_of_a_pair_of_readings_has_not_moved_nothing(
    mower: RuleBase, mower_assessor: Assessor, make_case: MakeCase
) -> None:
    """Left and right only mean something together."""
    case = make_case(mower, "vibration/deck").with_event(Answered("blade-wobble"))
    before = mower_assessor.assess(case.with_event(Answered("hit-a-stone")))
    assert before.step.target == "left-height"
    half = read_answer(mower, "left-height", "30 mm")
    after = mower_assessor.assess(before.belief.case.with_event(half))
    assert after.step.target == "right-height"
    assert effect_of(before, half, after) == "half"
    other = read_answer(mower, "right-height", "40 mm")
    assert effect_of(after, other, mower_assessor.assess(after.belief.case.with_event(other))) == (
        "moved"
    )


def test_how_far_a_chance_must_move_is_the_packs(mower: RuleBase, make_case: MakeCase) -> None:
    """The same answer moves something in one pack and nothing in another."""
    effects = []
    for least in (0.0, 1.0):
        policy = mower.policy.model_copy(update={"moved_from": least})
        shop = Assessor(replace(mower, policy=policy))
        before = shop.assess(make_case(mower, "vibration/deck", blade_wobble="?"))
        answer = Answered(before.step.target, state="no")
        after = shop.assess(before.belief.case.with_event(answer))
        assert before.plan.corrections[:1] == after.plan.corrections[:1]
        effects.append(effect_of(before, answer, after))
    assert effects == ["moved", "nothing"]


def test_a_move_of_just_as_much_as_the_pack_says_has_moved_something(
    mower: RuleBase, mower_assessor: Assessor, make_case: MakeCase
) -> None:
    before = mower_assessor.assess(make_case(mower, "vibration/deck", blade_wobble="?"))
    answer = Answered(before.step.target, state="no")
    after = mower_assessor.assess(before.belief.case.with_event(answer))
    moved = float(abs(after.belief.open_marginal - before.belief.open_marginal).max())
    moved = max(moved, abs(nothing_left(after.belief) - nothing_left(before.belief)))
    effects = []
    for least in (moved, moved + 1e-9):
        policy = mower.policy.model_copy(update={"moved_from": least})
        shop = Assessor(replace(mower, policy=policy))
        after = shop.assess(before.belief.case.with_event(answer))
        effects.append(effect_of(before, answer, after))
    assert effects == ["moved", "nothing"]


def test_it_looks_no_further_back_than_what_moved_something(offroad_assessor: Assessor) -> None:
    """Earlier assessments cost time where nobody remembers them."""
    diagnosis = begun(offroad_assessor)
    unknown(diagnosis, 1)
    diagnosis.add(read_answer(offroad_assessor.rules, "rear-tyre-gauge", "13 psi"))
    unknown(diagnosis, 1)
    looked_at: list[int] = []

    def assessed(case: Case) -> Assessment:
        looked_at.append(len(case.events))
        return offroad_assessor.assess(case)

    assert standstill(offroad_assessor, diagnosis.assessment, assessed) is None
    assert looked_at == [3, 2]


def test_the_longest_run_of_a_case_worked_step_by_step(offroad_assessor: Assessor) -> None:
    """One, then an answer that moves a lot, then three."""
    diagnosis = begun(offroad_assessor)
    worked = [diagnosis.assessment]
    for _ in range(5):
        asked = diagnosis.assessment.step.target
        text = "normal" if asked == "rear-tyre-thumb" else "?"
        diagnosis.add(read_answer(offroad_assessor.rules, asked, text))
        worked.append(diagnosis.assessment)
    assert [longest_idle(worked[:end]) for end in range(7)] == [0, 0, 1, 1, 1, 2, 3]
    assert longest_idle([*worked[:2], *worked[4:]]) == 1


def test_no_handing_over_is_offered_while_the_sag_is_unread(
    offroad: RuleBase, offroad_assessor: Assessor, make_case: MakeCase
) -> None:
    """Two complaints are proven, and nothing asked about the other moved anything since."""
    said = dict.fromkeys(("shows-square-edges", "shows-on-power", "shows-rocks-roots"), "no")
    begun = make_case(
        offroad, "harsh/rear", "sticky-stroke/front", "slow-return/front", **said,
        shows_landings="yes", shows_braking_bumps="no", changed_fork_parts_new="yes",
        rear_rim_look="sound",
    )  # fmt: skip
    looked = make_case(
        offroad, rear_bounce_test="controlled", rear_tyre_gauge="11.8 psi",
        after_wash_care="always", rear_tyre_hop="round", rear_spring_rate_stamp="agrees",
        bump_rubber_look="whole", weep_which_legs="none", changed_settings="yes",
        ground_set_for="like-today", worse_as_ride_goes_on="no", rear_race_sag_measured="98 mm",
        chain_slack_tightest="12 mm", clicks_counted_how="from-closed",
        shock_low_speed_compression_clicks="11", rear_push_down_sticks="smooth",
        shock_rebound_clicks="12", better_after_moving_on_bike="no", shock_shaft_oil="dry",
        better_when_warm="no",
    )  # fmt: skip
    proven = (Rode("gone", "sticky-stroke/front"), Rode("gone", "slow-return/front"))
    rode = (Corrected("run-fork-in"), Rode("same", "harsh/rear"), *proven)
    diagnosis = Diagnosis(offroad_assessor)
    diagnosis.add(*begun.events, *rode, *looked.events)
    assessment = diagnosis.assessment
    assert not assessment.plan.corrections
    assert all(option.net <= 0 for option in assessment.options)
    assert "rear-static-sag-measured" in {option.observation for option in assessment.options}
    assert offered(diagnosis).guess is None
