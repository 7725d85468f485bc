"""What a step costs, why it is next and what outranked the sums, worked out again from the ranking."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
import pytest

from diagnose.advice.assessor import Assessment, Assessor
from diagnose.advice.foresight import foresee
from diagnose.advice.planning import OBSERVING, Step
from diagnose.advice.reasons import Dangerous, Needed, OneRideMore, Saves
from diagnose.advice.sheet import sheet
from diagnose.case.events import (
    RIDE_REPORTS,
    Answered,
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
from diagnose.inference.confirming import checks_by_cause
from diagnose.words.chances import about_minutes, counted, percent
from diagnose.words.step_words import step_label, step_reasons, step_text, why_text
from diagnose.words.titles import lowered
from rules.rulebase import RuleBase, complaint_nodes
from tui.plain.lines import plan_lines

CONSTRAINTS = {"", "safety first", "outside before inside", "one change at a time"}
STEPS = 14


def interviews(shop: Assessor, seeds: int) -> Iterator[tuple[Case, Assessment]]:
    """Every step of interviews with random answers, corrections, refusals and rides."""
    rules = shop.rules
    nodes = [n for key, c in rules.complaints.items() for n in complaint_nodes(key, c)]
    for seed in range(seeds):
        rng = np.random.default_rng(seed)
        name, _, place = nodes[seed % len(nodes)].partition("/")
        case = Case(events=(Complained(name, place or None),))
        for _ in range(STEPS):
            made = shop.assess(case)
            yield case, made
            step = made.step
            if step.kind in OBSERVING.values():
                entry = rules.observations[step.target]
                state = None if entry.kind == "measurement" else str(rng.choice([*entry.states]))
                case = case.with_event(Answered(step.target, state=state))
            elif step.kind == "correct":
                done = Corrected(step.target) if rng.random() < 0.7 else Declined(step.target)
                case = case.with_event(done)
            elif step.kind == "confirm":
                case = case.with_event(Rode(RIDE_REPORTS[int(rng.integers(len(RIDE_REPORTS)))]))
            elif step.kind == "check-again":
                case = case.with_event(Insisted(step.target))
            else:
                break


@pytest.fixture(scope="module")
def steps(
    mower_assessor: Assessor, offroad_assessor: Assessor
) -> list[tuple[Assessor, Case, Assessment]]:
    return [
        *((mower_assessor, case, made) for case, made in interviews(mower_assessor, 60)),
        *((offroad_assessor, case, made) for case, made in interviews(offroad_assessor, 16)),
    ]


def title(rules: RuleBase, cause: str) -> str:
    text = rules.causes[cause].title
    return text[:1].lower() + text[1:]


def likeliest(shop: Assessor, made: Assessment) -> list[str]:
    order = np.argsort(-made.belief.open_marginal, kind="stable")
    return [shop.model.network.causes[n] for n in order]


def test_a_step_costs_what_the_pack_says(steps: list[tuple[Assessor, Case, Assessment]]) -> None:
    seen = set()
    for shop, case, made in steps:
        rules, step = shop.rules, made.step
        seen.add(step.kind)
        assert step.constraint in CONSTRAINTS
        assert why_text(rules, step).strip() == why_text(rules, step) != ""
        if step.kind in OBSERVING.values():
            entry = rules.observations[step.target]
            assert (step.kind, step.minutes) == (OBSERVING[entry.kind], entry.minutes)
        elif step.kind == "correct":
            assert step.minutes == rules.corrections[step.target].minutes
        elif step.kind == "confirm":
            assert (step.target, step.minutes) == (
                standing(case).corrections[-1],
                rules.policy.ride_minutes,
            )
            if standing(case).ride_due:
                assert step.constraint == "one change at a time"
                assert why_text(rules, step).startswith("One change at a time: ride it now")
            else:
                assert step.constraint == ""
                assert why_text(rules, step).startswith("Ride it once more before")
        elif step.kind == "hand-over":
            assert (step.target, step.minutes) == ("", rules.policy.minutes_to_hand_over())
        elif step.kind == "check-again":
            check = next(c for c in made.belief.findings.contradictions if c.rule == step.target)
            asked = {rules.observations[name].minutes for name in check.check}
            assert why_text(rules, step).startswith(check.text)
            assert step.minutes in asked
        elif step.kind == "close":
            assert (step.target, step.minutes, step.constraint) == ("", 1.0, "")
            assert why_text(rules, step) == "The confirming ride proved the correction."
    assert seen >= {"ask", "inspect", "measure", "correct", "confirm", "hand-over", "close"}


def test_what_saves_most_is_taken_and_says_so(
    steps: list[tuple[Assessor, Case, Assessment]],
) -> None:
    """Among options about as good, the one likeliest to change the order."""
    checked = 0
    for shop, _, made in steps:
        step, rules = made.step, shop.rules
        if (
            step.constraint
            or step.kind not in OBSERVING.values()
            or "should save" not in why_text(rules, step)
        ):
            continue
        worth = [o for o in made.options if o.net > 0]
        top = max(o.net for o in worth)
        near = [o for o in worth if o.net >= top - rules.policy.attention_minutes]
        best = max(near, key=lambda o: (o.changes_first, o.net, o.observation))
        assert step.target == best.observation
        shown = {link.cause for link in rules.links if link.node == best.node}
        names = [title(rules, c) for c in likeliest(shop, made) if c in shown][:2]
        minutes = f"{max(best.saves, 1):.0f}"
        own = rules.observations[best.observation].minutes
        spent = f"{own * 60:.0f} seconds" if own < 1 else f"{own:g} minute"
        assert why_text(rules, step).startswith(
            f"{spent}{'s' if own > 1 else ''} spent here should save"
        )
        assert f"about {minutes} minute{'' if minutes == '1' else 's'} later" in why_text(
            rules, step
        )
        assert why_text(rules, step).endswith(f"It weighs on: {'; '.join(names)}.")
        checked += 1
    assert checked > 20


def test_a_correction_says_how_likely_it_is_needed(
    steps: list[tuple[Assessor, Case, Assessment]],
) -> None:
    reasons = ("more checking would not pay", "no check left is worth more than it costs")
    checked = 0
    for shop, case, made in steps:
        step, belief = made.step, made.belief
        if step.kind != "correct" or not isinstance(step.why, Needed):
            continue
        causes = shop.model.network.causes
        mended = [
            n
            for n in np.flatnonzero(belief.matters)
            if shop.rules.causes[causes[n]].correction == step.target
        ]
        needed = float(belief.chances.joint(np.array(mended))[1:].sum())
        said = f"{percent(needed)} likely to be needed for {step.minutes:g} minutes of work, and"
        assert any(why_text(shop.rules, step).endswith(f"{said} {reason}.") for reason in reasons)
        assert step.target not in standing(case).declined
        checked += 1
    assert checked > 20


def test_handing_over_says_what_is_likeliest(
    steps: list[tuple[Assessor, Case, Assessment]],
) -> None:
    checked = 0
    for shop, _, made in steps:
        if made.step.kind != "hand-over" or made.step.constraint:
            continue
        if made.ranking.nothing_listed >= shop.rules.policy.settled:
            assert "Nothing was found wrong" in why_text(shop.rules, made.step)
            continue
        first = likeliest(shop, made)[0]
        chance = made.belief.open_marginal.max()
        correction = shop.rules.causes[first].correction
        cured = [
            shop.rules.causes[cause].correction == correction for cause in made.model.network.causes
        ]
        needed = 1 - np.prod(1 - made.belief.open_marginal[cured])
        if needed >= shop.rules.policy.settled:  # what it needs is known, and was declined
            said = why_text(shop.rules, made.step)
            work = shop.rules.corrections[correction].title
            assert said.startswith("What it needs is known") and lowered(work) in said
            checked += 1
            continue
        assert why_text(shop.rules, made.step) == (
            "Every check and correction left costs more than it can save here, or cannot be done "
            f"here. Likeliest: {title(shop.rules, first)} ({percent(chance)}); something else "
            "altogether: "
            f"{percent(made.ranking.nothing_listed)}."
        )
        checked += 1
    assert checked > 5


def test_a_likely_danger_is_looked_at_and_said(
    steps: list[tuple[Assessor, Case, Assessment]],
) -> None:
    """The check that can show most danger, all that it can show together."""
    checked = 0
    for shop, _, made in steps:
        step, belief = made.step, made.belief
        said = why_text(shop.rules, step)
        is_check = step.kind in ("ask", "measure", "inspect", "ride-test")
        if not is_check or not isinstance(step.why, Dangerous):
            continue
        danger = {
            cause: float(belief.open_marginal[n])
            for n, cause in enumerate(shop.model.network.causes)
            if shop.rules.causes[cause].unsafe
        }
        checks = checks_by_cause(shop.rules)
        node = next(o.node for o in made.options if o.observation == step.target)
        shown = {cause: chance for cause, chance in danger.items() if node in checks[cause]}
        named = max(shown, key=lambda cause: shown[cause])
        together = 1 - math.prod(1 - chance for chance in shown.values())
        said = why_text(shop.rules, step)
        first = (
            f"Before anybody rides: {title(shop.rules, named)} is {percent(shown[named])} likely"
        )
        assert said.startswith(first) and said.endswith(" and would be dangerous.")
        assert percent(together) in said
        assert together >= shop.rules.policy.safety_floor
        assert shop.rules.observations[step.target].safety
        checked += 1
    assert checked > 3


def test_danger_outranks_and_says_why(mower_assessor: Assessor) -> None:
    """Put right, looked at again, and handed over when it is not put right."""
    rules = mower_assessor.rules
    loose = Case(events=(Complained("no-start"), Answered("blade-wobble", state="yes")))
    first = mower_assessor.assess(loose).step
    assert (first.kind, first.constraint) == ("correct", "safety first")
    assert why_text(rules, first) == "Not safe to ride: The blade is loose."
    assert first.minutes == rules.corrections[first.target].minutes
    again = mower_assessor.assess(loose.with_event(Corrected(first.target))).step
    entry = rules.observations["blade-wobble"]
    assert (again.kind, again.target) == (OBSERVING[entry.kind], "blade-wobble")
    assert (again.minutes, again.constraint) == (entry.minutes, "safety first")
    assert (
        why_text(rules, again)
        == "It was not safe to ride (the blade is loose). Look again after the work."
    )
    given_up = mower_assessor.assess(loose.with_event(Declined(first.target))).step
    assert (given_up.kind, given_up.target) == ("hand-over", "")
    assert why_text(rules, given_up) == (
        "Not safe to ride: The blade is loose. "
        "What it needs: fit a new blade (20 min, home mechanic)."
    )
    assert (given_up.minutes, given_up.constraint) == (
        rules.policy.minutes_to_hand_over(),
        "safety first",
    )


def test_what_else_to_find_out_is_told_only_where_it_pays(offroad_assessor: Assessor) -> None:
    """The best first, or in words that nothing does; a figure below nothing is never shown."""
    rules, told = offroad_assessor.rules, {True: 0, False: 0}
    for name in list(rules.complaints)[::3]:
        case = Case(events=(Complained(name),))
        made = offroad_assessor.assess(case)
        lines = step_reasons(rules, case, made, {})
        others = [o for o in made.options if o.observation != made.step.target]
        pays = any(o.net > 0 for o in others)
        told[pays] += 1
        assert ("Next best to find out:" in lines) == pays
        assert any("would save more time than it takes" in line for line in lines) == (not pays)
        if pays:
            best = max(others, key=lambda o: o.net)
            row = lines[lines.index("Next best to find out:") + 1]
            assert rules.observations[best.observation].ask in row and "saves about" in row
    assert all(told.values())


def test_who_may_do_the_work_reads_right_in_a_workshop_too(offroad: RuleBase) -> None:
    """Whom a step is limited to stands in its heading; that anyone may do it does not."""
    for name, work in offroad.corrections.items():
        step = Step("correct", name, None, work.minutes)
        is_limited = work.who == "qualified technician"
        needs = "a qualified technician" if is_limited else "anyone with tools"
        assert f"Needs: {needs}." in step_text(offroad, Case(), step).note
        assert ("qualified technician" in step_label(offroad, step)) == is_limited
        assert "home mechanic" not in step_label(offroad, step)


def test_a_reading_from_before_it_was_set_is_not_shown_as_if_it_stood(offroad: RuleBase) -> None:
    spec = dict([read_target(offroad, "rear-race-sag", "75 mm")])
    found = read_answer(offroad, "rear-race-sag-measured", "98 mm")
    step = Step("correct", "set-rear-sag", None, 20.0)
    case = Case({}, spec, (Complained("harsh", "rear"), found))
    assert "98 mm, should be 75 mm" in step_text(offroad, case, step).note
    for work in ("service-shock", "set-rear-sag"):
        done = case.with_event(Corrected("set-rear-sag"))
        note = step_text(offroad, done, Step("correct", work, None, 20.0)).note
        assert "98 mm" not in note


def test_the_ride_that_proves_goes_where_the_rider_met_the_trouble(offroad: RuleBase) -> None:
    told = (Answered("shows-rocks-roots", "yes"), Answered("shows-sand", "no"))
    work = (Corrected("set-rear-tyre-pressure"),)
    ride = Step("confirm", "set-rear-tyre-pressure", None, 20.0)
    case = Case(events=(Complained("harsh", "rear"), *told, *work))
    assert step_text(offroad, case, ride).how[1:] == (
        "Try it where it showed: on rocks and roots.",
    )
    silent = Case(events=(Complained("harsh", "rear"), *work))
    assert len(step_text(offroad, silent, ride).how) == 1


def test_wear_is_held_to_a_limit_and_a_setting_to_a_target(offroad: RuleBase) -> None:
    case = Case(events=(Complained("knock", "front"),))
    notes = {
        name: step_text(offroad, case, Step("measure", name, None, 1.0)).note.split(":")[0]
        for name in ("front-tyre-gauge", "hours-fork-service")
    }
    assert notes == {"front-tyre-gauge": "Target", "hours-fork-service": "Limit"}


def test_the_minutes_of_a_step_are_the_same_wherever_it_stands(mower_assessor: Assessor) -> None:
    """On the card, on the sheet, in the plan, and in the reasons."""
    met: set[str] = set()
    for case, made in interviews(mower_assessor, 8):
        same_minutes(mower_assessor, case, made)
        met.add(made.step.kind)
    assert {"ask", "inspect", "correct"} <= met


def test_the_minutes_of_a_reading_are_its_own_where_another_goes_with_it(
    offroad_assessor: Assessor,
) -> None:
    rules = offroad_assessor.rules
    case = Case(events=(Complained("pulls"),))
    while not (made := offroad_assessor.assess(case)).step.partner:
        same_minutes(offroad_assessor, case, made)
        entry = rules.observations[made.step.target]
        normal = None if entry.unit else entry.normal
        case = case.with_event(Answered(made.step.target, normal))
    same_minutes(offroad_assessor, case, made)


def same_minutes(shop: Assessor, case: Case, made: Assessment) -> None:
    """Fails where the step has other minutes somewhere else."""
    step, rules = made.step, shop.rules
    about = rules.observations.get(step.target) or rules.corrections.get(step.target)
    if about is None or step.kind not in (*OBSERVING.values(), "correct"):
        return
    assert step.minutes == about.minutes, step
    told = about_minutes(about.minutes)
    assert told in step_label(rules, step)
    reasons = step_reasons(rules, case, made, {})
    assert f"Costs {told}." in reasons
    if isinstance(step.why, Saves | Needed):
        assert step.why.minutes == about.minutes
    rows = [row for row in sheet(shop, made).rows if row.about == step.target and row.event < 0]
    assert all(row.minutes == about.minutes for row in rows)
    if step.target in made.plan.corrections:
        text = " ".join(plan_lines(rules, made, ()))
        assert f"work {about.minutes:g} min" in " ".join(text.split())


def test_a_ride_that_is_made_again_says_on_its_card_why(offroad_assessor: Assessor) -> None:
    rules = offroad_assessor.rules
    cause = next(iter(rules.causes))
    step = Step("confirm", rules.causes[cause].correction, OneRideMore(cause, 0.99), 15.0)
    case = Case(events=(Complained("deflection", "rear"), Corrected(step.target), Rode("same")))
    words = step_text(rules, case, step)
    assert words.heading == "Confirming ride, once more"
    assert words.note == f"{why_text(rules, step)} How is the complaint now?"


def test_why_in_short_has_the_likeliest_answers_and_the_rest_counted(
    offroad_assessor: Assessor,
) -> None:
    case = Case(events=(Complained("harsh", "rear"),))
    made = offroad_assessor.assess(case)
    option = next(o for o in made.options if o.observation == made.step.target)
    foreseen = foresee(offroad_assessor.model, made.belief, made.options)
    answers = foreseen[option.node]
    assert len(answers) > 2
    rules, node = offroad_assessor.rules, option.node
    whole = step_reasons(rules, case, made, foreseen)
    short = step_reasons(rules, case, made, foreseen, in_short=True)
    assert set(short[:-3]) <= set(whole)
    likeliest = sorted(answers, key=lambda a: -a.chance)
    labels = [rules.nodes[node].label(answer.state) for answer in likeliest]
    told = [any(line.startswith(f"  {label} (") for line in short) for label in labels]
    assert told == [True, True, *([False] * (len(labels) - 2))]
    assert short[-1].strip() == f"{counted(len(answers) - 2, 'more answer')}"
    assert all(rules.nodes[node].label(answer.state) in " ".join(whole) for answer in answers)


def test_a_ride_does_not_go_where_the_trouble_showed_without_riding(offroad: RuleBase) -> None:
    told = (Answered("shows-standing-still", "yes"),)
    work = Corrected("set-rear-tyre-pressure")
    ride = Step("confirm", work.correction, None, 20.0)
    case = Case(events=(Complained("noise", "rear"), *told, work))
    assert len(step_text(offroad, case, ride).how) == 1
    sand = case.with_event(Answered("shows-sand", "yes"))
    assert step_text(offroad, sand, ride).how[1:] == (
        "Try it where it showed: in sand or soft ground.",
    )
