"""What choices are worth, measure by measure."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.case.events import Answered, Complained
from diagnose.simulation.simulated_bike import GivenFacts, Truth
from diagnose.training.course.course import load_teaching
from diagnose.training.course.course_lessons import lesson_scenario
from diagnose.training.customers.guide import Guide, load_guide
from diagnose.training.customers.scenario import Scenario, draw_scenario
from diagnose.training.habits.trainees import Advised, AtRandom, work
from diagnose.training.play.encounter import Encounter
from diagnose.training.play.faults import faults
from diagnose.training.play.moves import Correct, HandBack, HandOver, Move, Observe, RideMove
from diagnose.training.scoring.points import agreement, score
from diagnose.training.scoring.review import review
from diagnose.training.scoring.score_document import score_document
from diagnose.training.words.review_words import (
    mistake_lines,
    mistakes,
    outcome_lines,
    points_lost,
    share_word,
    verdict_line,
)
from rules.loading.loader import load_pack
from rules.loading.pack_files import OFFROAD
from rules.rulebase import RuleBase
from tests.diagnose.training.small_packs import three_suspects

PETROL = {"engine": "petrol", "size": "small"}


def scenario(
    rules: RuleBase,
    guide: Guide,
    *causes: str,
    complaint: str = "no-start",
    machine: dict[str, str] | None = None,
    **answers: str,
) -> Scenario:
    name, _, place = complaint.partition("/")
    truth = Truth(causes, Complained(name, place or None), PETROL if machine is None else machine)
    written = {
        key.replace("_", "-"): Answered(key.replace("_", "-"), state=state)
        for key, state in answers.items()
    }
    drawn = draw_scenario(rules, guide, 0)
    return replace(
        drawn,
        truth=truth,
        complaints=(truth.complaint,),
        bike_seed=3,
        known=GivenFacts(written),
        told=(),
    )


def played(encounter: Encounter, *moves: Move) -> Encounter:
    for move in moves:
        encounter.read_cautions(move)
        encounter.take(move)
    return encounter


@pytest.fixture(scope="module")
def three(tmp_path_factory: pytest.TempPathFactory) -> Assessor:
    """p .5 .3 .2, C 10 2 5, causes so rare that there is one at a time."""
    return Assessor(load_pack(three_suspects(tmp_path_factory.mktemp("three"))))


@pytest.fixture(scope="module")
def three_guide(mower_guide: Guide) -> Guide:
    return mower_guide


def tries(order: str, true: str) -> Iterator[Move]:
    """Corrections in this order, each ridden, until the true one has been made."""
    for cause in order:
        yield Correct(f"fix-{cause}", (cause,))
        yield RideMove()
        if cause == true:
            return


@pytest.mark.parametrize(
    ("order", "ratio"),
    [("bac", 1.0), ("bca", 1.05), ("cba", 1.16), ("abc", 1.2), ("acb", 1.31), ("cab", 1.36)],
)
def test_expected_cost_of_an_order_against_the_best(
    three: Assessor, three_guide: Guide, order: str, ratio: float
) -> None:
    """Averaged over which cause it is, what is thrown away makes up the whole of an order's ratio
    (computed by plain enumeration from p .5 .3 .2 and C 10 2 5)."""
    mean = 0.0
    for true, share in (("a", 0.5), ("b", 0.3), ("c", 0.2)):
        case = replace(
            draw_scenario(three.rules, three_guide, 0),
            truth=Truth((true,), Complained("bad"), {}),
            complaints=(Complained("bad"),),
            known=GivenFacts(),
            told=(),
        )
        encounter = played(Encounter(three, three_guide, case), *tries(order, true))
        mean += share * score(encounter).cost_ratio
    assert mean == pytest.approx(ratio, abs=0.003)


def test_luck_does_not_come_into_the_expected_cost(three: Assessor, three_guide: Guide) -> None:
    """Dearest first costs the same share whether it happens to be right or not."""
    ratios = []
    for true in "ab":
        case = replace(
            draw_scenario(three.rules, three_guide, 0),
            truth=Truth((true,), Complained("bad"), {}),
            complaints=(Complained("bad"),),
            known=GivenFacts(),
            told=(),
        )
        encounter = played(Encounter(three, three_guide, case), Correct("fix-a", ("a",)))
        ratios.append(score(encounter).cost_ratio)
    assert ratios[0] == pytest.approx(ratios[1]) == pytest.approx(1.2, abs=0.003)


def test_zero_value_checks_are_wasted(mower_assessor: Assessor, mower_guide: Guide) -> None:
    """The same check twice, and one that no suspect of this complaint shows on."""
    case = scenario(mower_assessor.rules, mower_guide, "stale-fuel", tank_look="stale")
    encounter = Encounter(mower_assessor, mower_guide, case)
    played(encounter, Observe("tank-look"), Observe("tank-look"), Observe("hit-a-stone"))
    useful, again, idle = encounter.steps
    assert not useful.faults_of("information")
    assert "known already" in again.faults_of("information")[0].text
    assert "bears on nothing" in idle.faults_of("information")[0].text
    measure = score(encounter).find("information")
    assert measure.share == pytest.approx(1 / 3)
    assert measure.steps == (2, 3)


def test_a_check_that_decides_is_not_called_useless(
    mower_assessor: Assessor, mower_guide: Guide
) -> None:
    """The plan would do the same whatever the gap is, yet for whoever corrects unchecked it tells
    which comes first."""
    case = draw_scenario(mower_assessor.rules, mower_guide, 28)
    encounter = played(Encounter(mower_assessor, mower_guide, case), Observe("tank-look"))
    view = encounter.view()
    option = view.option("plug-gap-reading")
    assert option is not None and option.saves < mower_guide.scoring.no_use_below
    assert view.saves_blind("plug-gap-reading") > 5
    played(encounter, Observe("plug-gap-reading"))
    assert not encounter.steps[-1].faults_of("information")


def test_what_was_seen_and_settled_is_never_settled_too_early(offroad: RuleBase) -> None:
    """Cords that show are put right whatever else is wrong; it is no guess and throws nothing
    away."""
    assessor = Assessor(offroad)
    guide = load_guide(offroad, OFFROAD)
    seen, state = next(
        (name, states[0])
        for name, entry in offroad.observations.items()
        for cause, states in entry.settles.items()
        if cause == "front-tyre-worn"
    )
    drawn = draw_scenario(offroad, guide, 0)
    truth = Truth(
        ("fork-oil-old", "front-tyre-worn"), Complained("harsh", "front"), drawn.truth.machine
    )
    case = replace(
        drawn,
        truth=truth,
        complaints=(truth.complaint,),
        known=GivenFacts({seen: Answered(seen, state=state)}),
        told=(),
    )
    encounter = played(Encounter(assessor, guide, case), Observe(seen))
    correction = offroad.causes["front-tyre-worn"].correction
    assert encounter.view().was_seen(correction)
    played(encounter, Correct(correction, ("front-tyre-worn",)))
    assert encounter.steps[-1].faults == () and encounter.steps[-1].loss == 0


def test_a_check_that_cures_counts_as_the_work(
    mower_assessor: Assessor, mower_guide: Guide
) -> None:
    """Done with the check, it is named with it too, and a ride is due."""
    guide = replace(mower_guide, cures={"tank-look": "fill-up"})
    case = scenario(mower_assessor.rules, guide, "stale-fuel", tank_look="stale")
    encounter = played(Encounter(mower_assessor, guide, case), Observe("tank-look"))
    assert encounter.steps[0].cured == "stale-fuel"
    assert encounter.view().now.ride_due and encounter.bike.is_cured
    assert "that has put right" in review(encounter)[0].result
    result = score(played(encounter, RideMove(), HandBack()))
    assert result.find("right-cause").share == result.find("proven").share == 1


def test_right_by_luck_is_still_hasty(mower_assessor: Assessor, mower_guide: Guide) -> None:
    case = scenario(mower_assessor.rules, mower_guide, "carburettor-gummed")
    encounter = Encounter(mower_assessor, mower_guide, case)
    played(encounter, Correct("clean-carburettor", ("carburettor-gummed",)), RideMove(), HandBack())
    assert encounter.proven
    result = score(encounter)
    assert result.find("right-cause").share == 0
    assert result.find("proven").share == 1
    assert result.guessed == (1,)
    assert result.total <= mower_guide.scoring.guess_cap < mower_guide.scoring.pass_mark
    assert result.find("closure").steps == (1,)
    kinds = {fault.kind for fault in encounter.steps[0].faults}
    assert kinds == {"order", "closure"}
    assert any("Inside before outside" in f.text for f in encounter.steps[0].faults)
    assert any("speaks for" in f.text for f in encounter.steps[0].faults)


def test_stopping_when_it_is_settled_is_not(mower_assessor: Assessor, mower_guide: Guide) -> None:
    case = scenario(
        mower_assessor.rules, mower_guide, "stale-fuel", tank_look="stale", stood_all_winter="yes"
    )
    encounter = Encounter(mower_assessor, mower_guide, case)
    played(encounter, Observe("tank-look"), Correct("fill-up", ("stale-fuel",)))
    assert encounter.steps[-1].faults == ()


def test_two_changes_at_once(mower_assessor: Assessor, mower_guide: Guide) -> None:
    case = scenario(mower_assessor.rules, mower_guide, "stale-fuel", tank_look="stale")
    encounter = Encounter(mower_assessor, mower_guide, case)
    played(
        encounter,
        Observe("tank-look"),
        Correct("fill-up", ("stale-fuel",)),
        Correct("new-plug", ("plug-worn",)),
    )
    assert any("Two changes at once" in f.text for f in encounter.steps[-1].faults_of("order"))
    assert encounter.steps[-1].loss > 0


@pytest.mark.parametrize("end", [HandOver(), HandBack()])
def test_doing_nothing_earns_nothing(
    mower_assessor: Assessor, mower_guide: Guide, end: Move
) -> None:
    case = scenario(mower_assessor.rules, mower_guide, "stale-fuel")
    result = score(played(Encounter(mower_assessor, mower_guide, case), end))
    assert result.total == 0


def test_what_a_case_gives_nothing_to_measure_is_left_out(
    mower_assessor: Assessor, mower_guide: Guide
) -> None:
    """No check was made, so checks earn nothing and cost nothing; the others share their points."""
    case = scenario(mower_assessor.rules, mower_guide, "stale-fuel")
    encounter = played(Encounter(mower_assessor, mower_guide, case), HandBack())
    result = score(encounter)
    assert "information" not in {measure.id for measure in result.measures}
    assert sum(measure.out_of for measure in result.measures) == pytest.approx(100)


def test_a_failed_case_is_worth_nothing(mower_assessor: Assessor, mower_guide: Guide) -> None:
    case = scenario(
        mower_assessor.rules,
        mower_guide,
        "blade-bent",
        complaint="vibration/deck",
        blade_wobble="yes",
    )
    result = score(
        played(Encounter(mower_assessor, mower_guide, case), Observe("blade-wobble"), RideMove())
    )
    assert (result.total, result.passed) == (0.0, False)
    assert "blade is loose" in result.failed


def test_hints_take_points_off(mower_assessor: Assessor, mower_guide: Guide) -> None:
    case = draw_scenario(mower_assessor.rules, mower_guide, 5)
    plain = score(work(Encounter(mower_assessor, mower_guide, case), Advised()))
    hinted = Encounter(mower_assessor, mower_guide, case)
    hinted.hint()
    hinted.hint()
    result = score(work(hinted, Advised()))
    assert result.hints == 2
    assert result.total == pytest.approx(plain.total - 5)


@pytest.mark.parametrize(
    ("named", "true", "share"),
    [
        (("no-fuel",), ("no-fuel",), 1.0),
        (("no-fuel", "plug-worn"), ("no-fuel",), 2 / 3),
        (("plug-worn",), ("no-fuel",), 0.0),
        ((), ("no-fuel",), 0.0),
        (("no-fuel",), ("no-fuel", "plug-worn"), 2 / 3),
        (("no-fuel", "stale-fuel", "plug-worn", "carburettor-gummed"), ("no-fuel",), 2 / 5),
    ],
)
def test_naming_everything_does_not_help(
    mower: RuleBase, named: tuple[str, ...], true: tuple[str, ...], share: float
) -> None:
    assert agreement(mower, named, true, set(named)) == pytest.approx(share)


def test_a_guess_is_not_a_cause_found(mower: RuleBase) -> None:
    assert agreement(mower, ("no-fuel",), ("no-fuel",), ()) == 0
    assert agreement(mower, ("no-fuel", "plug-worn"), ("no-fuel",), {"no-fuel"}) == 2 / 3


def test_causes_that_cannot_be_told_apart_count_as_one(offroad: RuleBase) -> None:
    cause, other = next(
        (key, entry.not_separable_from[0])
        for key, entry in offroad.causes.items()
        if entry.not_separable_from
    )
    assert agreement(offroad, (other,), (cause,), {other}) == 1
    assert agreement(offroad, (cause,), (other,), {cause}) == 1


@pytest.mark.parametrize("seed", range(12))
def test_points_add_up_and_stay_in_bounds(
    mower_assessor: Assessor, mower_guide: Guide, seed: int
) -> None:
    case = draw_scenario(mower_assessor.rules, mower_guide, seed)
    encounter = work(Encounter(mower_assessor, mower_guide, case), AtRandom(seed))
    result = score(encounter)
    assert sum(m.out_of for m in result.measures) == pytest.approx(100)
    assert all(0 <= m.share <= 1 and 0 <= m.points <= m.out_of for m in result.measures)
    if not result.failed:
        assert result.total == pytest.approx(sum(m.points for m in result.measures))
    assert result.cost_ratio >= 1
    assert result.minutes == pytest.approx(sum(step.minutes for step in encounter.steps))


def test_the_review_says_what_was_better_and_by_how_much(
    mower_assessor: Assessor, mower_guide: Guide
) -> None:
    case = scenario(mower_assessor.rules, mower_guide, "stale-fuel", tank_look="stale")
    encounter = Encounter(mower_assessor, mower_guide, case)
    played(encounter, Correct("clean-carburettor", ("carburettor-gummed",)), RideMove())
    hasty, ride = review(encounter)
    assert hasty.leading[0][1] >= hasty.leading[1][1] > 0
    assert hasty.case.events == encounter.case.events[:1]
    assert hasty.chosen_cost - hasty.advised_cost == pytest.approx(hasty.loss) and hasty.loss > 30
    assert hasty.better.startswith("First: ") and f"{hasty.loss:.0f} minutes" in hasty.better
    assert ride.result in ("same", "better", "worse", "gone") and not ride.better


def test_the_dearest_mistakes_stand_first_and_each_once(
    mower_assessor: Assessor, mower_guide: Guide
) -> None:
    case = scenario(mower_assessor.rules, mower_guide, "stale-fuel", tank_look="stale")
    encounter = Encounter(mower_assessor, mower_guide, case)
    hasty = Correct("clean-carburettor", ("carburettor-gummed",))
    played(encounter, Observe("hit-a-stone"), hasty, RideMove(), Observe("hit-a-stone"), HandBack())
    document = score_document(encounter)
    named = [step["did"] for step in mistakes(document)]
    assert len(named) == len(set(named)) == 3
    losses = [step["loss"] for step in mistakes(document)]
    assert losses == sorted(losses, reverse=True)
    lines = list(mistake_lines(document))
    assert len(lines) == 4 and "min lost" in lines[1]


def test_a_perfect_case_says_so_in_a_line(mower_assessor: Assessor, mower_guide: Guide) -> None:
    case = draw_scenario(mower_assessor.rules, mower_guide, 5)
    encounter = work(Encounter(mower_assessor, mower_guide, case), Advised())
    document = score_document(encounter)
    assert list(mistake_lines(document)) == ["Every step was as good as any there was."]


def test_before_and_after_of_a_step_are_the_steps_beside_it(
    mower_assessor: Assessor, mower_guide: Guide
) -> None:
    case = scenario(mower_assessor.rules, mower_guide, "plug-worn", tank_look="fresh")
    encounter = Encounter(mower_assessor, mower_guide, case)
    played(encounter, Observe("tank-look"), Correct("new-plug", ("plug-worn",)), RideMove())
    look, change, _ = score_document(encounter)["review"]
    assert look["after"] == change["leading"] != look["leading"]
    assert (
        change["parts_minutes"]
        == mower_assessor.rules.policy.parts_minutes[
            mower_assessor.rules.corrections["new-plug"].parts
        ]
    )
    assert look["parts_minutes"] == 0


def test_the_document_holds_everything_and_is_plain_data(
    mower_assessor: Assessor, mower_guide: Guide
) -> None:
    import json

    case = draw_scenario(mower_assessor.rules, mower_guide, 4, "two-causes")
    encounter = work(Encounter(mower_assessor, mower_guide, case), AtRandom(4))
    document = json.loads(json.dumps(score_document(encounter)))
    assert document["scenario"]["id"] == "4:two-causes"
    assert len(document["review"]) == len(document["log"]) == len(encounter.steps)
    assert document["score"]["total"] == pytest.approx(score(encounter).total)
    assert {m["id"] for m in document["score"]["measures"]} == {
        m.id for m in score(encounter).measures
    }


def test_small_packs_load(tmp_path: Path) -> None:
    """The oracle's packs are packs like any other."""
    assert load_pack(three_suspects(tmp_path)).info.id == "small"


def test_a_question_loses_no_more_than_it_took(
    mower_assessor: Assessor, mower_guide: Guide
) -> None:
    """The better check can still be made after it."""
    for seed in range(6):
        case = draw_scenario(mower_assessor.rules, mower_guide, seed, "misleading")
        view = Encounter(mower_assessor, mower_guide, case).view()
        looks = [Observe(name) for name in mower_assessor.rules.observations]
        open_looks = [m for m in looks if m.observation not in view.belief.findings.not_applicable]
        moves: list[Move] = [*open_looks, RideMove()]
        losses = [(view.loss(move), view.own_minutes(move)) for move in moves]
        assert all(0 <= lost <= took + 1e-9 for lost, took in losses)
        assert any(lost > 0 for lost, _ in losses)


def test_two_cheap_looks_do_not_fail_a_right_and_proven_case(
    offroad_assessor: Assessor, offroad_guide: Guide
) -> None:
    """Left and right adjuster, 3 minutes each, before the advised way: they lose what they took
    at most, and are no reason to fail."""
    teaching = load_teaching(offroad_assessor.rules, (OFFROAD,))
    lesson = teaching.course.lesson("what-changed-3")
    case = lesson_scenario(offroad_assessor.rules, offroad_guide, lesson, teaching.course.worked)
    encounter = Encounter(offroad_assessor, offroad_guide, case)
    played(encounter, Observe("rear-adjuster-left"), Observe("rear-adjuster-right"))
    read = [s.event.reading.value for s in encounter.steps if isinstance(s.event, Answered)]  # type: ignore[union-attr]
    assert read == [32, 28]
    assert all(step.minutes == 3 and step.loss <= 3 for step in encounter.steps)
    encounter.go_on_as_advised()
    result = score(encounter)
    assert result.passed and result.find("proven").share == result.find("right-cause").share == 1
    # the figure of the manual loses nothing once there is a reading beside it, and only the once
    encounter = Encounter(offroad_assessor, offroad_guide, case)
    sag, figure = Observe("rear-race-sag-measured"), Observe("manual-rear-race-sag")
    assert encounter.view().loss(figure) > 0
    played(encounter, sag, figure, figure)
    _, first, again = encounter.steps
    assert first.loss == 0 and not first.faults
    assert again.loss > 0 and again.faults_of("information")


def test_what_is_lost_is_said_in_minutes_and_points_and_adds_up(
    mower_assessor: Assessor, mower_guide: Guide
) -> None:
    case = scenario(mower_assessor.rules, mower_guide, "stale-fuel", tank_look="stale")
    encounter = Encounter(mower_assessor, mower_guide, case)
    hasty = Correct("clean-carburettor", ("carburettor-gummed",))
    played(encounter, Observe("hit-a-stone"), hasty, RideMove(), HandBack())
    document = score_document(encounter)
    off = sum(m["out_of"] - m["points"] for m in document["score"]["measures"])
    named = sum(points_lost(document, step) for step in document["review"])
    # all but what was never named right is some step's
    right = score(encounter).find("right-cause")
    assert named == pytest.approx(off - right.out_of + right.points)
    said = list(outcome_lines(document, {}, mower_guide))
    assert any("before a ride said that it was gone: none of the" in line for line in said)
    assert any(line.startswith("No point for the right cause") for line in said)
    assert all(step["loss"] >= 0.5 or points_lost(document, step) for step in mistakes(document))
    _, *rows = mistake_lines(document)
    assert all("points off" in row and "(0" not in row for row in rows)


def test_a_check_that_the_plan_makes_itself_is_not_called_useless(
    mower_assessor: Assessor, mower_guide: Guide
) -> None:
    """A plan that looks before it puts something right gains nothing by looking at once."""
    encounter = Encounter(
        mower_assessor, mower_guide, draw_scenario(mower_assessor.rules, mower_guide, 7)
    )
    played(encounter, encounter.view().advised)
    view, least = encounter.view(), mower_guide.scoring.no_use_below
    option = view.option("plug-gap-reading")
    assert option is not None and option.saves < least
    assert view.saves_blind("plug-gap-reading") < least
    played(encounter, Observe("plug-gap-reading"))
    assert not encounter.steps[-1].faults_of("information")


def test_a_check_that_can_turn_what_stands_first_is_not_called_useless(
    mower_assessor: Assessor, mower_guide: Guide
) -> None:
    encounter = Encounter(
        mower_assessor, mower_guide, draw_scenario(mower_assessor.rules, mower_guide, 4)
    )
    played(encounter, encounter.view().advised)
    view, least = encounter.view(), mower_guide.scoring.no_use_below
    option = view.option("hit-a-stone")
    assert option is not None and option.saves < least and option.changes_first > 0.1
    assert view.saves_blind("hit-a-stone") < least
    played(encounter, Observe("hit-a-stone"))
    assert not encounter.steps[-1].faults_of("information")


def test_the_same_facts_are_judged_alike_in_whatever_order_they_were_found(
    mower_assessor: Assessor, mower_guide: Guide
) -> None:
    rules = mower_assessor.rules
    case = scenario(rules, mower_guide, "stale-fuel", tank_look="fresh", stood_all_winter="no")
    said = []
    for order in (("tank-look", "stood-all-winter"), ("stood-all-winter", "tank-look")):
        encounter = played(
            Encounter(mower_assessor, mower_guide, case), *(Observe(name) for name in order)
        )
        view = encounter.view()
        said.append(
            {
                name: [fault.text for fault in faults(view, Observe(name), False, view)]
                for name in rules.observations
                if name not in view.belief.findings.not_applicable
            }
        )
    assert said[0] == said[1]
    assert any(said[0].values()) and not all(said[0].values())


def test_what_was_of_use_at_the_start_and_is_not_now_says_so(
    mower_assessor: Assessor, mower_guide: Guide
) -> None:
    case = draw_scenario(mower_assessor.rules, mower_guide, 7)
    at_once = Encounter(mower_assessor, mower_guide, case)
    first = at_once.view().advised
    played(at_once, Observe("stood-all-winter"))
    assert not at_once.steps[0].faults_of("information")
    later = Encounter(mower_assessor, mower_guide, case)
    played(later, first, Observe("stood-all-winter"))
    (fault,) = later.steps[1].faults_of("information")
    assert "At the start it could have helped" in fault.text


def test_the_manuals_figure_loses_nothing_before_its_reading_either(
    offroad_assessor: Assessor, offroad_guide: Guide
) -> None:
    """It is worth as much as the reading it goes with, whichever of the two comes first."""
    rules = offroad_assessor.rules
    encounter = Encounter(offroad_assessor, offroad_guide, draw_scenario(rules, offroad_guide, 102))
    view = encounter.view()
    figures = {
        name: [key for key, other in rules.observations.items() if other.target == entry.enters]
        for name, entry in rules.observations.items()
        if entry.enters is not None and name not in view.belief.findings.not_applicable
    }
    useful = {
        name: any(view.tells_something(reading) for reading in readings)
        for name, readings in figures.items()
    }
    assert set(useful.values()) == {True, False}
    for name, is_useful in useful.items():
        found = faults(view, Observe(name), False, view)
        assert bool(found) != is_useful, name
        assert not is_useful or view.loss(Observe(name)) == 0, name


@pytest.mark.parametrize("end", [HandOver(), HandBack()])
def test_the_parts_of_a_score_add_up_and_what_took_them_is_named_once(
    mower_assessor: Assessor, mower_guide: Guide, end: Move
) -> None:
    """A case left undone gets no points for minutes; the minutes lost take none off beside that."""
    encounter = Encounter(
        mower_assessor, mower_guide, scenario(mower_assessor.rules, mower_guide, "stale-fuel")
    )
    played(encounter, Observe("tank-look"), Observe("hit-a-stone"))
    encounter.hint()
    played(encounter, end)
    document = score_document(encounter)
    result = document["score"]
    parts = sum(measure["points"] for measure in result["measures"])
    assert result["total"] == pytest.approx(max(0.0, parts - result["hint_points"]))
    assert f"The parts come to {parts:.0f}, less {result['hint_points']:g} for hints" in (
        verdict_line(document, mower_guide)
    )
    told = "\n".join(outcome_lines(document, {}, mower_guide))
    (measure,) = (m for m in result["measures"] if m["id"] == "expected-cost")
    assert told.count(f"{measure['out_of']:.0f} for minutes") == 1
    assert "which took off" not in told
    assert told.count("whatever the minutes that choices lost") == 1


def test_weak_is_below_the_passing_mark_and_not_below_perfection() -> None:
    assert [share_word(share, 70) for share in (0.9, 0.7, 0.69, 0.35, 0.34)] == [
        "very good", "good", "weak", "weak", "poor",
    ]  # fmt: skip
    assert share_word(0.6, 50) == "good"
