"""The posterior and what it says."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from diagnose.inference.cause_sets import cause_sets
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.advice.assessor import Assessor
from diagnose.case.events import (
    Answered,
    Case,
    Complained,
    Corrected,
    Rode,
    read_answer,
    read_complaint,
)
from diagnose.case.files import load_worked_cases
from diagnose.inference.evidence import Evidence
from diagnose.inference.network import log_difference
from diagnose.inference.posterior import Belief, Model, normalised
from rules.loading.loader import OFFROAD, WORKED_CASES, load_pack
from rules.rulebase import RuleBase
from tests.published.fever import fever_pack

MakeCase = Callable[..., Case]

FACTS = [
    ("hit-a-stone", "yes"), ("hit-a-stone", "no"), ("stood-all-winter", "yes"),
    ("tank-look", "stale"), ("tank-look", "fresh"), ("tank-look", "empty"),
    ("spark-seen", "none"), ("plug-gap-reading", "1.2 mm"), ("plug-gap-reading", "0.6 mm"),
    ("left-height", "30 mm"), ("right-height", "45 mm"), ("carburettor-inside", "yes"),
]  # fmt: skip


def brute_posterior(rules: RuleBase, belief: Belief, most: int) -> dict[str, float]:
    """Marginals by enumerating sets and multiplying probabilities, in plain Python."""
    causes = [c for c in rules.causes if c not in belief.findings.not_applicable]
    chances = {(link.cause, link.node): link.chances for link in rules.links}

    def at_most(node: str, state: int, present: tuple[str, ...]) -> float:
        if state < 0:
            return 0.0
        total = sum(rules.nodes[node].background[: state + 1])
        for cause in present:
            total *= sum(chances.get((cause, node), (1.0,))[: state + 1])
        return total

    def chance(item: Evidence, present: tuple[str, ...]) -> float:
        if item.kind == "complaint":
            return 1 - math.prod(at_most(node, 0, present) for node in item.nodes)
        state = rules.nodes[item.nodes[0]].index(item.state)
        return at_most(item.nodes[0], state, present) - at_most(item.nodes[0], state - 1, present)

    weights: dict[tuple[str, ...], float] = {}
    for size in range(most + 1):
        for present in itertools.combinations(causes, size):
            weight = 1.0
            for cause in causes:
                prior = rules.causes[cause].per_100 / 100
                weight *= prior if cause in present else 1 - prior
            for item in belief.evidence:
                weight *= chance(item, present)
            weights[present] = weight
    total = sum(weights.values())
    return {
        cause: sum(w for present, w in weights.items() if cause in present) / total
        for cause in causes
    }


@settings(deadline=None, max_examples=40)
@given(
    st.lists(st.sampled_from(FACTS), max_size=6, unique_by=lambda fact: fact[0]),
    st.lists(st.sampled_from(["no-start", "vibration", "vibration/deck"]), min_size=1, unique=True),
    st.integers(1, 3),
)
def test_marginals_match_enumeration(
    mower: RuleBase, facts: list[tuple[str, str]], complaints: list[str], most: int
) -> None:
    events = [read_complaint(mower, text) for text in complaints]
    case = Case(events=(*events, *(read_answer(mower, name, text) for name, text in facts)))
    model = Model(mower, most)
    belief = model.believe(case)
    expected = brute_posterior(mower, belief, most)
    assert belief.posterior.sum() == pytest.approx(1, abs=1e-12)
    for item in model.rank(belief).causes:
        assert item.probability == pytest.approx(expected[item.cause], abs=1e-12)


@settings(deadline=None, max_examples=30)
@given(st.permutations(FACTS[:1] + FACTS[2:4] + FACTS[6:8]))
def test_the_order_of_answers_does_not_matter(
    mower: RuleBase, mower_assessor: Assessor, facts: list[tuple[str, str]]
) -> None:
    def ranked(order: list[tuple[str, str]]) -> list[tuple[str, float]]:
        case = Case(events=(Complained("no-start"), *(read_answer(mower, *f) for f in order)))
        ranking = mower_assessor.assess(case).ranking
        return [(item.cause, round(item.probability, 12)) for item in ranking.causes]

    assert ranked(facts) == ranked(sorted(facts))


def test_dont_know_changes_no_probability(
    mower: RuleBase, mower_assessor: Assessor, make_case: MakeCase
) -> None:
    case = make_case(mower, "no-start", tank_look="stale")
    unknown = case.with_event(Answered("spark-seen")).with_event(
        Answered("hit-a-stone", cannot_here=True)
    )
    assert mower_assessor.assess(case).ranking == mower_assessor.assess(unknown).ranking


def test_a_weight_is_the_shift_in_odds_when_its_evidence_is_struck_out(mower: RuleBase) -> None:
    model = Model(mower, 2)
    machine = {"engine": "electric"}
    events = (Complained("no-start"), read_answer(mower, "charge-lamp", "yes"))

    def decibans(*kept: object) -> float:
        case = Case(machine, {}, tuple(e for e in events if e in kept))
        p = model.rank(model.believe(case)).find("battery-flat").probability
        return 10 * math.log10(p / (1 - p))

    item = model.rank(model.believe(Case(machine, {}, events))).find("battery-flat")
    assert len(item.weights) == 2
    for weight in item.weights:
        others = [e for e in events if _key(e) != weight.evidence.key]
        assert weight.decibans == pytest.approx(decibans(*events) - decibans(*others))


def _key(event: object) -> str:
    return getattr(event, "complaint", "") or getattr(event, "observation", "")


def test_weights_point_the_right_way(
    mower: RuleBase, mower_assessor: Assessor, make_case: MakeCase
) -> None:
    ranking = mower_assessor.assess(make_case(mower, "no-start", tank_look="stale")).ranking
    assert ranking.causes[0].cause == "stale-fuel"
    assert ranking.causes[0].supporting[0].evidence.key == "tank-look"
    assert [w.evidence.key for w in ranking.find("no-fuel").opposing] == ["tank-look"]


def test_a_cause_that_cannot_give_the_complaint_stands_behind_those_that_can(
    mower: RuleBase, mower_assessor: Assessor, make_case: MakeCase
) -> None:
    ranking = mower_assessor.assess(make_case(mower, "no-start")).ranking
    relevant = [item.relevant for item in ranking.causes]
    assert relevant == sorted(relevant, reverse=True)
    assert not ranking.find("blade-bent").relevant


def test_a_fault_found_by_other_means_matters_all_the_same(
    mower: RuleBase, mower_assessor: Assessor, make_case: MakeCase
) -> None:
    case = make_case(mower, "no-start", hit_a_stone="yes", blade_wobble="yes")
    assert mower_assessor.assess(case).ranking.find("blade-bent").relevant


def test_nothing_listed_grows_as_checks_come_back_clean(
    mower: RuleBase, mower_assessor: Assessor, make_case: MakeCase
) -> None:
    none = mower_assessor.assess(make_case(mower, "no-start")).ranking.nothing_listed
    clean = mower_assessor.assess(
        make_case(
            mower, "no-start", tank_look="fresh", plug_gap_reading="0.6 mm", spark_seen="sparks",
            carburettor_inside="no",
        )
    ).ranking.nothing_listed  # fmt: skip
    assert none < 0.2 < clean


def rode(mower: RuleBase, report: str) -> Case:
    case = Case(events=(Complained("no-start"), read_answer(mower, "tank-look", "stale")))
    return case.with_event(Corrected("fill-up")).with_event(Rode(report))  # type: ignore[arg-type]


def test_a_ride_that_cured_it_proves_and_one_that_did_not_speaks_for_the_rest(
    mower: RuleBase, mower_assessor: Assessor
) -> None:
    before = mower_assessor.assess(rode(mower, "same").without_last()).ranking
    cured = mower_assessor.assess(rode(mower, "gone")).ranking
    same = mower_assessor.assess(rode(mower, "same")).ranking
    assert cured.find("stale-fuel").probability > before.find("stale-fuel").probability
    assert same.find("plug-worn").probability > before.find("plug-worn").probability
    assert same.causes[0].cause != "stale-fuel"
    assert same.causes[-1].corrected


def test_ride_reports_add_up_to_one(mower: RuleBase) -> None:
    model = Model(mower, 2)
    beliefs = [model.believe(rode(mower, report)) for report in ("gone", "better", "same", "worse")]
    total = np.sum([np.exp(belief.likelihoods[-1]) for belief in beliefs], axis=0)
    able = model.weigher.able(beliefs[0].evidence)
    can = beliefs[0].sets.sums(able.astype(float)) > 0
    assert can.any()
    assert total[can] == pytest.approx(1)


@pytest.mark.parametrize("width", [1, 2])
def test_no_cause_set_is_left_out(offroad: RuleBase, width: int) -> None:
    """Against the table of all sets of all causes, bystanders written out, on worked cases."""
    model = Model(offroad, width)
    network = model.network
    whole = cause_sets(len(network.causes), width)
    for worked in load_worked_cases(offroad, OFFROAD / WORKED_CASES)[::12]:
        belief = model.believe(worked.case)
        total = network.log_prior(whole, np.ones(len(network.causes), dtype=np.bool_))
        banned = [network.cause_index[cause] for cause in belief.findings.not_applicable
                  if cause in network.cause_index]  # fmt: skip
        total[np.isin(whole.members, banned).any(axis=1)] = -np.inf
        for item in belief.evidence:
            total += model.weigher.log_likelihood(whole, item)
        assert belief.marginal == pytest.approx(
            whole.marginals(normalised(total)), rel=1e-9, abs=1e-15
        )


def test_what_was_found_before_a_correction_stays_evidence_of_then(
    mower: RuleBase, mower_assessor: Assessor
) -> None:
    case = rode(mower, "same").with_event(read_answer(mower, "tank-look", "fresh"))
    states = [(e.key, e.state, e.corrected) for e in mower_assessor.assess(case).belief.evidence]
    assert ("tank-look", "stale", ()) in states
    assert ("tank-look", "fresh", ("fill-up",)) in states


@pytest.mark.parametrize("most", [0, 4])
def test_the_number_of_causes_at_once_is_bounded(mower: RuleBase, most: int) -> None:
    with pytest.raises(ValueError, match="1 to 3"):
        Model(mower, most)


def test_log_difference_keeps_small_probabilities() -> None:
    """ln(e^a - e^b) against exact arithmetic of tiny gaps, where plain subtraction gives zero."""
    larger = np.array([-1e-18, np.log(0.3), 0.0])
    smaller = np.array([-50.0, np.log(0.3), -1e-17])
    expected = [0.0, -np.inf, np.log(1e-17)]
    assert log_difference(larger, smaller) == pytest.approx(expected, abs=1e-12)


def test_unlinked_causes_keep_their_prior_and_rivals_are_explained_away(tmp_path: Path) -> None:
    """Pearl's explaining away: a second sufficient cause takes blame from the first."""
    folder = fever_pack(tmp_path)
    text = (folder / "pack.yaml").read_text(encoding="utf-8")
    text = text.replace("{fever: w80}", "{fever: w80, swab: w90}").replace(
        "causes:\n",
        "observations:\n  swab: {kind: question, ask: Swab?, background: never, minutes: 1, source: book}\ncauses:\n",
        1,
    )
    (folder / "pack.yaml").write_text(text, encoding="utf-8")
    rules = load_pack(folder)
    model = Model(rules, 3)
    alone = model.believe(Case(events=(Complained("fever"),))).marginal
    swabbed = model.believe(
        Case(events=(Complained("fever"), read_answer(rules, "swab", "yes")))
    ).marginal
    assert swabbed[1] == pytest.approx(1.0)
    assert swabbed[0] < alone[0]
