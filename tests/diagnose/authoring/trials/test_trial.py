"""Trials: worked cases retold, bikes of one pack worked on with another, two packs compared."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.authoring.trials.measures import (
    MEASURES,
    brier,
    confusion,
    log_score,
    reliability_of,
    summarise,
)
from diagnose.authoring.trials.pack_comparison import PairedCases, changed, compare
from diagnose.authoring.trials.stacks import FEWEST
from diagnose.authoring.trials.trial import readable_by, run_trial, simulate, worked_paths
from diagnose.authoring.trials.trial_bikes import Crossing, Retold, retell, run_across
from diagnose.authoring.trials.working import CaseOutcome, Decision, ProgramPolicy, run_case
from diagnose.case.events import Answered, Complained
from diagnose.case.files import load_worked_cases
from diagnose.simulation.simulated_bike import SimulatedBike, Truth, draw_truth
from rules.loading.loader import load_pack, load_packs
from rules.loading.pack_files import WORKED_CASES
from rules.rulebase import RuleBase
from tests.places import MOWER

TRUTH = Truth(("stale-fuel",), Complained("no-start"), {"engine": "petrol", "size": "small"})


def outcome(named: str, true: str = "a", minutes: float = 10.0) -> CaseOutcome:
    chances = {"a": 0.2, "b": 0.1, named: 0.7}
    decision = Decision((named,), (true,), (true,), named == true, True, chances, minutes, 3)
    return CaseOutcome(
        Truth((true,), Complained("c"), {}), decision, 2 * minutes, 4, 1, named == true
    )


def test_a_story_answers_what_it_tells(mower: RuleBase) -> None:
    worked = {w.name: w for w in load_worked_cases(mower, MOWER / WORKED_CASES)}["last-years-fuel"]
    bike = Retold(mower, worked)
    assert bike.answer("tank-look") == Answered("tank-look", state="stale")
    assert not bike.answer("spark-seen").is_known
    assert bike.ride(frozenset()) == "same"
    bike.correct("fill-up")
    assert bike.ride(frozenset()) == "gone"
    assert bike.is_cured
    assert bike.answer("tank-look") == Answered("tank-look", state="fresh")


def test_a_story_is_decided_and_cured(mower_assessor: Assessor) -> None:
    for worked in load_worked_cases(mower_assessor.rules, MOWER / WORKED_CASES):
        told = retell(mower_assessor, worked, ProgramPolicy())
        assert told.decision.named in worked.truth
        assert told.cured
        assert told.decision.minutes <= told.minutes
        assert told.decision.observations <= told.observations


def test_a_decision_comes_before_the_end(mower_assessor: Assessor) -> None:
    for seed in range(12):
        ran = run_case(
            mower_assessor, draw_truth(mower_assessor.rules, seed), seed, ProgramPolicy()
        )
        attention = mower_assessor.rules.policy.attention_minutes
        assert ran.decision.minutes >= attention * ran.decision.observations
        assert ran.decision.first == (ran.decision.named in ran.truth.causes)
        assert set(ran.decision.able) <= set(ran.truth.causes)


def test_another_pack_is_told_what_both_understand(mower: RuleBase) -> None:
    fewer = replace(
        mower, observations={k: o for k, o in mower.observations.items() if k != "spark-seen"}
    )
    bike = Crossing(SimulatedBike(fewer, TRUTH, 1), fewer, mower)
    assert not bike.answer("spark-seen").is_known
    assert bike.answer("tank-look") == SimulatedBike(mower, TRUTH, 1).answer("tank-look")
    bike.correct("fill-up")
    assert bike.is_cured


def test_the_same_pack_across_is_the_same(mower_assessor: Assessor) -> None:
    rules = mower_assessor.rules
    for seed in range(6):
        truth = draw_truth(rules, seed)
        assert run_across(mower_assessor, rules, truth, seed, ProgramPolicy()) == run_case(
            mower_assessor, truth, seed, ProgramPolicy()
        )


def test_an_unknown_complaint_is_handed_over(mower_assessor: Assessor) -> None:
    truth = replace(TRUTH, complaint=Complained("smokes"))
    got = run_across(mower_assessor, mower_assessor.rules, truth, 1, ProgramPolicy())
    assert (got.cured, got.decision.first) == (False, False)
    assert got.minutes == mower_assessor.rules.policy.minutes_to_hand_over()


def test_scores_by_hand() -> None:
    """0.7 for b, 0.2 for the true a: (0.8² + 0.7²) and -ln 0.2 - ln 0.3."""
    decision = Decision(("b",), ("a",), ("a",), False, True, {"a": 0.2, "b": 0.7})
    assert brier(decision) == pytest.approx(0.64 + 0.49)
    assert log_score(decision) == pytest.approx(-math.log(0.2) - math.log(0.3))


def test_a_true_cause_that_the_pack_does_not_know_costs_the_most() -> None:
    decision = Decision(("b",), ("z",), (), False, True, {"b": 0.5})
    assert brier(decision) == pytest.approx(0.25 + 1)
    assert log_score(decision) > 13
    assert brier(Decision((), ("z",), (), False, False, {})) == 1


def test_reliability_by_hand() -> None:
    told = [outcome("b"), outcome("b"), outcome("b", true="b")]
    found = reliability_of(o.decision for o in told)
    # a: 0.2 three times, there twice; b: 0.7 three times, there once
    assert [entry.count for entry in found.bins] == [3, 3]
    assert [entry.forecast for entry in found.bins] == pytest.approx([0.2, 0.7])
    assert [entry.came_true for entry in found.bins] == pytest.approx([2 / 3, 1 / 3])
    assert found.named[0].came_true == pytest.approx(1 / 3)
    assert found.named_error == pytest.approx(0.7 - 1 / 3)
    # of 6 forecasts 3 came true; two to a case, and all of a bin are the same
    split = found.split
    apart = (2 / 3 - 0.2) ** 2 + (0.7 - 1 / 3) ** 2
    assert (split.reliability, split.resolution, split.uncertainty) == pytest.approx(
        (apart, 2 * (1 / 6) ** 2, 2 * 0.25)
    )
    assert found.brier == pytest.approx(sum(brier(o.decision) for o in told) / 3)
    assert found.inside == pytest.approx(0)


def test_what_the_bins_hide_is_said_apart() -> None:
    """0.01 for what is not there and 0.09 for what is are one bin, though told apart."""
    decision = Decision(("b",), ("b",), ("b",), True, True, {"a": 0.01, "b": 0.09})
    found = reliability_of([decision])
    assert found.brier == pytest.approx(0.01**2 + 0.91**2)
    assert found.split.resolution == 0
    assert found.inside == pytest.approx(0.01**2 + 0.91**2 - 2 * (0.45**2 + 0.25))
    assert found.inside < 0


def test_decisions_without_chances_have_no_reliability() -> None:
    found = reliability_of([Decision((), ("z",), (), False, False, {})])
    assert (found.bins, found.named, found.brier, found.inside) == ((), (), 0, 0)


def test_confusions_are_counted_by_how_often() -> None:
    told = [outcome("b"), outcome("b"), outcome("a"), outcome("c", true="d")]
    pairs = confusion(o.decision for o in told)
    assert [(p.true, p.named, p.times, p.cases) for p in pairs] == [
        ("a", "b", 2, 3),
        ("d", "c", 1, 1),
    ]
    assert pairs[0].low < 2 / 3 < pairs[0].high


def test_a_plain_difference_is_more_than_noise_and_none_is_not() -> None:
    names = tuple(f"seed {n}" for n in range(40))
    slow = tuple(outcome("a", minutes=20.0 + n % 3) for n in range(40))
    quick = tuple(outcome("a", minutes=10.0 + n % 5) for n in range(40))
    found = {d.measure.key: d for d in compare([PairedCases("g", names, slow, quick)])}
    assert found["minutes"].is_more_than_noise
    assert (found["minutes"].better, found["minutes"].worse) == (40, 0)
    assert found["minutes"].difference.mean == pytest.approx(2 * (12 - 20.975))
    assert not found["first"].is_more_than_noise
    assert found["first"].same == 40
    assert all(d.adjusted == 1 for d in compare([PairedCases("g", names, slow, slow)]))


def test_a_cause_more_is_no_worse_score_and_a_trifle_does_not_matter() -> None:
    """What only one of the packs knows is left out of the scores of both."""
    names = tuple(f"seed {n}" for n in range(40))
    plain = tuple(outcome("a", minutes=20.0 + n % 3) for n in range(40))
    more = tuple(
        replace(
            o,
            minutes=o.minutes + 0.1 + n % 2 / 100,
            decision=replace(o.decision, chances={**o.decision.chances, "new": 0.04}),
        )
        for n, o in enumerate(plain)
    )
    found = {d.measure.key: d for d in compare([PairedCases("g", names, plain, more)])}
    assert found["brier"].same == found["log_score"].same == 40
    assert found["minutes"].is_more_than_noise
    assert not found["minutes"].matters
    slow = tuple(replace(o, minutes=o.minutes + 30) for o in plain)
    (worse,) = [d for d in compare([PairedCases("g", names, plain, slow)]) if d.matters]
    assert (worse.measure.key, worse.is_for_the_better) == ("minutes", False)


def test_changed_cases_stand_with_those_gone_wrong_first() -> None:
    names = ("one", "two", "three", "four")
    before = (outcome("a"), outcome("b"), outcome("b"), outcome("a"))
    after = (outcome("a"), outcome("a"), outcome("c"), outcome("b"))
    found = changed(PairedCases("g", names, before, after))
    assert [c.case for c in found] == ["four", "three", "two"]


def test_a_trial_of_two_packs(edited_pack: Callable[..., Path]) -> None:
    """The other thinks a stone is hardly ever behind anything: it is the worse where this is true."""
    other = edited_pack(
        "vibration: very likely, hit-a-stone: very likely",
        "vibration: very unlikely, hit-a-stone: very likely",
    )
    begun: list[tuple[str, int]] = []
    made = run_trial(
        (MOWER,), range(12), {"two looks": ("tank-look", "blade-wobble")}, (other,), "this",
        lambda label, count: begun.append((label, count)),
    )  # fmt: skip
    assert set(made.simulated) == {"the program", "two looks"}
    assert [entry.name for entry in made.told] == [
        "dark-lamp",
        "dry-tank",
        "last-years-fuel",
        "met-a-stone",
    ]
    assert made.comparison is not None
    titles = [group.title for group in made.comparison.groups]
    assert titles[0] == "simulated, this rule base being the truth"
    assert len(titles) == 3
    truths = [
        [o.truth for o in side] for g in made.comparison.groups[:1] for side in (g.first, g.second)
    ]
    assert truths[0] == truths[1]
    # 12 rides and 4 stories of this one, 12 on its truth, 2 times 10 on the other's, 4 stories
    assert [label for label, _ in begun] == ["cases"]
    summary = summarise(made.simulated["the program"])
    assert set(summary) == {m.key for m in MEASURES}


def test_worked_cases_come_from_every_pack_of_a_stack(tmp_path: Path) -> None:
    rules = load_pack(MOWER)
    assert [p.stem for p in worked_paths((MOWER,), rules)] == sorted(
        p.stem for p in (MOWER / WORKED_CASES).iterdir()
    )
    shop = tmp_path / "shop"
    (shop / WORKED_CASES).mkdir(parents=True)
    (shop / "pack.yaml").write_text(
        'pack: {id: shop, title: S, version: "1", format: 1, about: A., builds_on: mower}\n'
        "switched_off:\n  observations:\n    tank-look: {reason: R., source: made-up}\n",
        encoding="utf-8",
    )
    stack = (MOWER, shop)
    stacked = load_packs(stack)
    paths = worked_paths(stack, stacked)
    assert len(paths) == 4
    assert {path.stem for path in readable_by(stacked, paths)} == {"dark-lamp", "met-a-stone"}


def test_outcomes_stand_in_the_order_of_the_seeds(mower_assessor: Assessor) -> None:
    """Worked by several processes."""
    seeds = [5, 3, 8, *range(20, 36)]
    assert len(seeds) >= FEWEST
    got = simulate((MOWER,), seeds)
    assert [o.truth for o in got] == [draw_truth(mower_assessor.rules, seed) for seed in seeds]
