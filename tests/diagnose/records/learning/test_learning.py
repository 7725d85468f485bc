"""What proven cases teach, against closed forms and against simulated truth."""

from __future__ import annotations

import numpy as np
import pytest

from diagnose.advice.assessor import Assessor
from diagnose.case.events import Answered, Case, Complained
from diagnose.records.learning.calibration import calibrate
from diagnose.records.learning.learned import CauseShare, learn, learned_link
from diagnose.records.learning.lessons import (
    ProvenLesson,
    learning_state,
    reset_learning,
    switch_learning,
    unreset_learning,
)
from diagnose.records.store.store import Store
from rules.rulebase import RuleBase

PETROL = {"engine": "petrol", "size": "small"}


def lesson(number: int, cause: str, **states: str) -> ProvenLesson:
    seen = {name.replace("_", "-"): state for name, state in states.items()}
    return ProvenLesson(number, cause, PETROL, seen, {})


def test_a_prior_moves_as_beta_counts_say(mower: RuleBase) -> None:
    lessons = [lesson(n, "plug-worn") for n in range(7)] + [
        lesson(n + 7, "no-fuel") for n in range(3)
    ]
    learned = learn(mower, lessons, prior_cases=40)
    by_cause = {moved.cause: moved for moved in learned.priors}
    worn = by_cause["plug-worn"]
    assert (worn.cases, worn.of) == (7, 10)
    assert worn.learned.mean == pytest.approx((0.06 * 40 + 7) / 50)
    assert worn.learned.variance == pytest.approx(worn.learned.mean * (1 - worn.learned.mean) / 51)
    assert learned.rules.causes["plug-worn"].per_100 == pytest.approx(100 * worn.learned.mean)
    assert by_cause["stale-fuel"].learned.mean == pytest.approx(0.08 * 40 / 50)


def test_a_machine_that_cannot_have_a_cause_says_nothing_of_it(mower: RuleBase) -> None:
    learned = learn(mower, [lesson(1, "plug-worn")])
    assert "battery-flat" not in {moved.cause for moved in learned.priors}
    assert learned.rules.causes["battery-flat"] == mower.causes["battery-flat"]


def test_without_cases_nothing_moves_and_the_pack_is_never_changed(mower: RuleBase) -> None:
    assert learn(mower, []).rules is mower
    before = mower.causes["plug-worn"].per_100
    learn(mower, [lesson(1, "plug-worn", spark_seen="none")])
    assert mower.causes["plug-worn"].per_100 == before
    assert learn(mower, [lesson(1, "no-longer-there")]).rules is mower


def test_a_link_moves_as_dirichlet_counts_say(mower: RuleBase) -> None:
    link = next(
        li for li in mower.links if (li.cause, li.node) == ("plug-worn", "plug-gap-reading")
    )
    # with no background, what is seen is what the cause makes: (a + n) / (a0 + N)
    learned = learned_link(link, (1.0, 0.0, 0.0), (1, 2, 7), weight=20)
    expected = [(c * 20 + n) / 30 for c, n in zip(link.chances, (1, 2, 7), strict=True)]
    assert learned == pytest.approx(expected)


def test_the_background_is_taken_out_of_what_was_seen(mower: RuleBase) -> None:
    """Noisy-MAX: seen = the worse of cause and background. Many cases recover the cause's own."""
    link = next(
        li for li in mower.links if (li.cause, li.node) == ("plug-worn", "plug-gap-reading")
    )
    own, background = np.array([0.3, 0.1, 0.6]), np.array([0.7, 0.2, 0.1])
    rng = np.random.default_rng(1)
    seen = np.maximum(rng.choice(3, 200_000, p=own), rng.choice(3, 200_000, p=background))
    counts = [int(n) for n in np.bincount(seen, minlength=3)]
    assert learned_link(link, background.tolist(), counts, 20) == pytest.approx(own, abs=0.01)


def test_learned_chances_stay_chances(mower: RuleBase) -> None:
    for link in mower.links:
        node = mower.nodes[link.node]
        for state in range(len(node.states)):
            counts = [1000 * (n == state) for n in range(len(node.states))]
            learned = learned_link(link, node.background, counts, 20)
            assert sum(learned) == pytest.approx(1)
            assert min(learned) >= 0


def test_complaints_are_not_learned(mower: RuleBase) -> None:
    learned = learn(
        mower,
        [
            ProvenLesson(n, "stale-fuel", PETROL, {"no-start": "yes", "tank-look": "stale"}, {})
            for n in range(50)
        ],
    )
    assert {moved.node for moved in learned.links} == {"tank-look"}


def test_learning_can_be_turned_off_and_reset_and_both_undone(store: Store) -> None:
    assert learning_state(store).on
    switch_learning(store, False)
    assert not learning_state(store).on
    switch_learning(store, True)
    reset_learning(store)
    state = learning_state(store)
    assert state.on
    assert state.since is not None
    unreset_learning(store)
    assert learning_state(store).since is None


# -- simulated shops -----------------------------------------------------------------------------

SHIFTED = {"no-fuel": 0.02, "stale-fuel": 0.08, "plug-worn": 0.55, "carburettor-gummed": 0.35}
CHECKS = ("stood-all-winter", "tank-look", "plug-gap-reading", "spark-seen")


def simulate(rules: RuleBase, rng: np.random.Generator, number: int) -> tuple[str, dict[str, str]]:
    """A bad start in a shop where other things break than the pack says: cause and what is seen."""
    cause = str(rng.choice(list(SHIFTED), p=list(SHIFTED.values())))
    links = {link.node: link.chances for link in rules.links if link.cause == cause}
    seen = {}
    for name in CHECKS:
        node = rules.nodes[name]
        own = links.get(name, (1.0, *[0.0] * (len(node.states) - 1)))
        worst = max(rng.choice(len(own), p=own), rng.choice(len(own), p=np.array(node.background)))
        if rng.random() < 0.5:
            seen[name] = node.states[worst]
    return cause, seen


def judged(shop: Assessor, seen: dict[str, str], cause: str, number: int) -> ProvenLesson:
    events = [Answered(name, state) for name, state in seen.items() if name != "plug-gap-reading"]
    case = Case({}, {}, (Complained("no-start"), *events))
    marginal = shop.model.believe(case).marginal
    chances = dict(zip(shop.model.network.causes, map(float, marginal), strict=True))
    return ProvenLesson(number, cause, PETROL, seen, chances)


def test_a_shifted_prior_is_recovered_and_held_out_rankings_get_better(
    mower: RuleBase, mower_assessor: Assessor
) -> None:
    rng = np.random.default_rng(7)
    drawn = [simulate(mower, rng, n) for n in range(700)]
    taught = [
        ProvenLesson(n, cause, PETROL, seen, {}) for n, (cause, seen) in enumerate(drawn[:500])
    ]
    learned = learn(mower, taught)
    for moved in learned.priors:
        weight, share = 40, SHIFTED.get(moved.cause, 0.0)
        expected = (moved.pack * weight + 500 * share) / (weight + 500)
        spread = (share * (1 - share) / 500) ** 0.5
        assert abs(moved.learned.mean - expected) <= 4 * spread + 1e-9, moved.cause
        exact = CauseShare(
            moved.pack * weight + moved.cases, (1 - moved.pack) * weight + 500 - moved.cases
        )
        assert moved.learned.mean == pytest.approx(exact.mean)
        print(
            f"{moved.cause}: pack {moved.pack:.3f}, true {share:.3f}, learned {moved.learned.mean:.3f}"
        )
    shop = Assessor(learned.rules)
    held_out = drawn[500:]
    before = calibrate(
        [judged(mower_assessor, seen, cause, n) for n, (cause, seen) in enumerate(held_out)]
    )
    after = calibrate([judged(shop, seen, cause, n) for n, (cause, seen) in enumerate(held_out)])
    assert before is not None
    assert after is not None
    print(
        f"\nheld out, 200 simulated cases: Brier {before.brier:.3f} -> {after.brier:.3f}, log score "
        f"{before.log_score:.3f} -> {after.log_score:.3f} nats, first {before.first:.0%} -> {after.first:.0%}"
    )
    assert after.brier < before.brier - 0.05
    assert after.log_score < before.log_score
    assert after.calibration_error < before.calibration_error


def test_links_move_towards_how_things_really_show(mower: RuleBase) -> None:
    """In this shop worn plugs nearly always spark, which the pack gets wrong."""
    rng = np.random.default_rng(3)
    lessons = [
        lesson(n, "plug-worn", spark_seen=str(rng.choice(["sparks", "none"], p=[0.95, 0.05])))
        for n in range(300)
    ]
    learned = learn(mower, lessons)
    (moved,) = learned.links
    used = {(link.cause, link.node): link.chances for link in learned.rules.links}
    assert used.pop(("plug-worn", "spark-seen")) == moved.learned
    assert used.items() <= {(li.cause, li.node): li.chances for li in mower.links}.items()
    assert moved.pack[1] > 0.4
    assert moved.learned[1] == pytest.approx(0.05, abs=0.05)
