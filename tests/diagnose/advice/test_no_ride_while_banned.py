"""While anything forbids riding, nobody is asked to ride."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator

import pytest

from diagnose.advice.assessor import Assessment, Assessor
from diagnose.advice.planning import OBSERVING
from diagnose.advice.reasons import AnswersClash
from diagnose.case.events import (
    Answered,
    Asking,
    Case,
    Corrected,
    Declined,
    Event,
    Insisted,
    read_answer,
    read_complaint,
    read_target,
    standing,
)
from rules.language.conditions import names_in
from rules.rulebase import RuleBase, complaint_nodes
from rules.units.quantities import Quantity, parse_quantity

MakeCase = Callable[..., Case]

BIKE = {"class": "full-size", "fork": "coil-closed"}
LEAK_WORK = {
    "clean-fork-seals", "replace-fork-seals", "dress-stanchion", "seal-fork-joint",
    "relieve-fork-pressure",
}  # fmt: skip
STEPS, SAMPLE, SWEEP = 12, 8, 250


def ridden(rules: RuleBase, observation: str) -> bool:
    """Whether somebody rides to answer this; setting off slowly after work is no such ride."""
    entry = rules.observations[observation]
    return entry.kind == "ride-test" or "ride-test" in entry.cautions


def asks_for_a_ride(rules: RuleBase, assessment: Assessment) -> bool:
    step = assessment.step
    if step.kind in OBSERVING.values():
        return any(ridden(rules, name) for name in (step.target, step.partner) if name)
    if step.kind == "check-again":
        assert isinstance(step.why, AnswersClash)
        return ridden(rules, step.why.check[0])
    return step.kind == "confirm"


def bans_of(assessment: Assessment) -> set[str]:
    return {raised.rule for raised in assessment.belief.findings.do_not_ride}


@pytest.mark.parametrize("leak", ["seal-weep/front", "weep-which-legs"])
def test_a_seal_that_weeps_onto_the_brake_is_mended_before_any_ride(
    offroad: RuleBase, offroad_assessor: Assessor, make_case: MakeCase, leak: str
) -> None:
    """Told or looked at: a brake that was cleaned is clean only until the next drop."""
    told = ["bottoming/front", *([leak] if "/" in leak else [])]
    looked = {} if "/" in leak else {"weep_which_legs": "one"}
    case = make_case(
        offroad, *told, machine=BIKE, front_race_sag_measured="95 mm",
        oil_on_front_brake="on-brake", **looked,
    )  # fmt: skip
    case = Case(case.machine, dict([read_target(offroad, "front-race-sag", "70 mm")]), case.events)
    for event in (
        Corrected("clean-front-brake"),
        Answered("oil-on-front-brake", state="clean"),
        Corrected("fit-fork-springs"),
    ):
        case = case.with_event(event)
        assessment = offroad_assessor.assess(case)
        assert "leak-reached-front-brake" in bans_of(assessment)
        assert not asks_for_a_ride(offroad, assessment)
    for _ in range(15):
        step = offroad_assessor.assess(case).step
        if step.kind == "correct":
            break
        assert not ridden(offroad, step.target)
        case = case.with_event(Answered(step.target))
    assert step.target in LEAK_WORK
    case = case.with_event(Corrected(step.target))
    mended = offroad_assessor.assess(case)
    assert not bans_of(mended)
    # what has dripped until then is looked for once more before the ride
    asked: list[str] = []
    made, done = mended, case
    while made.step.kind != "confirm":
        asked.append(made.step.target)
        state = "clean" if made.step.target == "oil-on-front-brake" else None
        done = done.with_event(Answered(made.step.target, state=state))
        made = offroad_assessor.assess(done)
    assert asked.count("oil-on-front-brake") == 1
    # where it weeps on although that was done, the next thing is done before any ride
    case = case.with_event(Answered("weep-which-legs", state="one"))
    again = offroad_assessor.assess(case)
    assert "leak-reached-front-brake" in bans_of(again)
    assert not asks_for_a_ride(offroad, again)


def test_an_answer_put_right_at_once_leaves_no_ban(
    offroad: RuleBase, offroad_assessor: Assessor, make_case: MakeCase
) -> None:
    """Nothing was done in between, so the first answer was a slip."""
    case = make_case(offroad, "seal-weep/front", machine=BIKE, oil_on_front_brake="on-brake")
    case = case.with_event(Answered("oil-on-front-brake", state="clean"))
    assert not bans_of(offroad_assessor.assess(case))


def test_what_only_a_ride_shows_is_not_looked_at_again_by_riding(
    offroad: RuleBase, offroad_assessor: Assessor, make_case: MakeCase
) -> None:
    case = make_case(
        offroad, "seal-weep/front", machine=BIKE, oil_on_front_brake="clean",
        seal_wipe_and_ride="drips",
    )  # fmt: skip
    first = offroad_assessor.assess(case)
    assert "fork-runs-oil-do-not-ride" in bans_of(first)
    mended = offroad_assessor.assess(case.with_event(Corrected("clean-fork-seals")))
    assert not bans_of(mended)
    other = offroad_assessor.assess(case.with_event(Corrected("clean-front-brake")))
    assert "fork-runs-oil-do-not-ride" in bans_of(other)
    assert not asks_for_a_ride(offroad, other)


def test_what_must_be_seen_before_a_ride_is_asked_whatever_the_complaint(
    offroad: RuleBase, offroad_assessor: Assessor, make_case: MakeCase
) -> None:
    """A look at the brake bears on nothing that is felt at the rear, and is due all the same."""
    case = make_case(offroad, "squatting", machine=BIKE, weep_which_legs="one")
    step = offroad_assessor.assess(case).step
    assert (step.target, step.constraint) == ("oil-on-front-brake", "safety first")


def test_no_look_for_danger_is_itself_a_ride(offroad: RuleBase) -> None:
    looks = [name for name, entry in offroad.observations.items() if entry.safety]
    assert looks
    assert not [name for name in looks if ridden(offroad, name)]


@pytest.mark.parametrize("seed", range(SAMPLE))
def test_nobody_is_sent_out_while_riding_is_forbidden(
    offroad: RuleBase, offroad_assessor: Assessor, seed: int
) -> None:
    assert list(_walked(offroad, offroad_assessor, seed))


@pytest.mark.long
def test_nobody_is_sent_out_in_many_more_cases(
    offroad: RuleBase, offroad_assessor: Assessor
) -> None:
    banned = [
        is_banned
        for seed in range(SAMPLE, SAMPLE + SWEEP)
        for is_banned in _walked(offroad, offroad_assessor, seed)
    ]
    assert sum(banned) > len(banned) / 10  # enough of what is walked through forbids riding


def _walked(rules: RuleBase, assessor: Assessor, seed: int) -> Iterator[bool]:
    """Whether riding was forbidden, at each state of a case walked through at random: mostly as
    advised, now and then not. No state asks for a ride while it is, nor while the leak that reached
    the brake was not worked on."""
    chance = random.Random(seed)
    case = _begun(rules, chance)
    for _ in range(STEPS):
        assessment = assessor.assess(case)
        is_banned = bool(assessment.bans) or _leaks_on(rules, case)
        asks = asks_for_a_ride(rules, assessment)
        assert not (is_banned and asks), (assessment.bans, assessment.step, case.events)
        yield is_banned
        if assessment.step.kind in ("close", "complain"):
            return
        case = case.with_event(_next_event(rules, assessment, chance))


def _leaks_on(rules: RuleBase, case: Case) -> bool:
    """Whether work was done on a bike with a weeping leg and its oil on the brake, and none on the
    leak since. An answer that was changed before any work was a slip."""
    made: list[str] = []
    seen: dict[str, int] = {}
    answers: dict[str, str | None] = {}
    for event in case.events:
        if isinstance(event, Answered) and event.is_known:
            answers[event.observation] = event.state
        elif isinstance(event, Corrected):
            for name in ("oil-on-front-brake", "weep-which-legs"):
                if answers.pop(name, None) in ("on-brake", "one", "both"):
                    seen[name] = len(made)
            made.append(event.correction)
    work = rules.rules["leak-reached-front-brake"].then.until
    return len(seen) == 2 and set(work).isdisjoint(made[max(seen.values()) :])


def _telling(rules: RuleBase) -> list[str]:
    """The observations on which bans rest, and those that look for danger."""
    named = {
        name
        for rule in rules.rules.values()
        if rule.then.do_not_ride is not None
        for name in names_in(rule.when)
        if name in rules.observations
    }
    return sorted(named | {name for name, entry in rules.observations.items() if entry.safety})


def _begun(rules: RuleBase, chance: random.Random) -> Case:
    machine = {
        key: chance.choice(list(trait.options))
        for key, trait in rules.traits.items()
        if chance.random() < 0.4
    }
    nodes = [
        node for key, entry in rules.complaints.items() for node in complaint_nodes(key, entry)
    ]
    events: list[Event] = [Asking(chance.choice(list(rules.policy.people)))]
    events += [
        read_complaint(rules, node) for node in chance.sample(nodes, chance.choice([1, 1, 2]))
    ]
    looked = chance.sample(_telling(rules), chance.choice([0, 1, 2]))
    if chance.random() < 0.3:
        looked += ["weep-which-legs", "oil-on-front-brake"]
    return Case(machine, {}, (*events, *(_answer(rules, name, chance) for name in looked)))


def _next_event(rules: RuleBase, assessment: Assessment, chance: random.Random) -> Event:
    step, now = assessment.step, standing(assessment.belief.case)
    if chance.random() < 0.1:
        return _answer(rules, chance.choice(_telling(rules)), chance)
    match step.kind:
        case "correct" | "hand-over":
            work = step.target or chance.choice(sorted(rules.corrections))
            return Declined(work) if chance.random() < 0.1 else Corrected(work)
        case "confirm":
            return now.told(chance.choice(["gone", "better", "same", "worse"]), now.asks_about)
        case "check-again":
            assert isinstance(step.why, AnswersClash)
            again = _answer(rules, step.why.check[0], chance)
            return Insisted(step.target) if chance.random() < 0.5 else again
        case _:
            return _answer(rules, step.target, chance)


def _answer(rules: RuleBase, name: str, chance: random.Random) -> Answered:
    entry = rules.observations[name]
    if chance.random() < 0.07:
        return Answered(name)
    if entry.unit is None or entry.limits is None:
        off = list(entry.states)[1:]
        state = chance.choice(off if chance.random() < 0.6 else list(entry.states))
        return read_answer(rules, name, state)
    low, high = (parse_quantity(limit, entry.unit).to(entry.unit).value for limit in entry.limits)
    value = chance.choice([low, high, chance.uniform(low, high)])
    return Answered(name, reading=Quantity(round(value, 2), entry.unit))
