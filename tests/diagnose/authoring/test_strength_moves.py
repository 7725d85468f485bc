"""Moving one strength: what the quick way says is what ranking everything again says."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from diagnose.advice.assessor import Assessor
from diagnose.authoring.sensitivity import Bench, StrengthMove, tornado
from diagnose.authoring.strengths import Strength, link_origin, moved, strengths
from diagnose.case.events import Case
from diagnose.case.files import WorkedCase, load_worked_cases
from rules.loading.pack_files import OFFROAD, WORKED_CASES
from rules.rulebase import RuleBase
from tests.places import MOWER

CASES = 24
SAMPLE = 3


def again(rules: RuleBase, cases: list[WorkedCase]) -> dict[str, tuple[str, float]]:
    """Case -> the first cause and the mean probability of the true ones, from the beginning."""
    model = Assessor(rules).model
    out = {}
    for case in cases:
        ranking = model.rank(model.believe(case.case))
        true = [ranking.find(cause).probability for cause in case.truth]
        out[case.name] = (ranking.causes[0].cause, float(np.mean(true)))
    return out


def rewritten(rules: RuleBase, strength: Strength, step: int) -> RuleBase:
    links = tuple(
        moved(rules, link, {strength.state: step}) if link in strength.links else link
        for link in rules.links
    )
    return replace(rules, links=links)


@pytest.fixture(scope="module")
def cases(offroad: RuleBase) -> list[WorkedCase]:
    return load_worked_cases(offroad, OFFROAD / WORKED_CASES)[::7][:CASES]


@pytest.fixture(scope="module")
def bench(offroad_assessor: Assessor, cases: list[WorkedCase]) -> Bench:
    return Bench(offroad_assessor, cases)


def holds(
    shift: StrengthMove | None, cases: list[WorkedCase], before: RuleBase, after: RuleBase
) -> None:
    assert shift is not None
    old, new = again(before, cases), again(after, cases)
    change = {name: new[name][1] - old[name][1] for name in old}
    assert shift.truth == pytest.approx(np.mean(list(change.values())), abs=1e-9)
    assert shift.largest_change == pytest.approx(max(change.values(), key=abs), abs=1e-9)
    truth = {case.name: case.truth for case in cases}
    gained = [n for n in old if old[n][0] not in truth[n] and new[n][0] in truth[n]]
    lost = [n for n in old if old[n][0] in truth[n] and new[n][0] not in truth[n]]
    assert (list(shift.gained), list(shift.lost)) == (gained, lost)


def test_unmoved_it_ranks_as_the_workshop_does(
    bench: Bench, cases: list[WorkedCase], offroad: RuleBase
) -> None:
    old = again(offroad, cases)
    assert bench.first == {name: first for name, (first, _) in old.items()}
    assert bench.truth == pytest.approx(np.mean([p for _, p in old.values()]))


@pytest.mark.long
def test_moved_words_rank_as_a_rewritten_pack_does(
    bench: Bench, cases: list[WorkedCase], offroad: RuleBase
) -> None:
    """The words that matter most here, in both directions."""
    true = sorted({cause for case in cases for cause in case.truth})[:5]
    effects = [bench.effect(s) for s in strengths(offroad) if s.cause in true]
    chosen = [e for e in tornado(effects) if not e.strength.is_prior][:SAMPLE]
    assert chosen[0].swing > 0.0005
    for effect in chosen:
        for shift, step in ((effect.down, -1), (effect.up, 1)):
            if shift is not None:
                holds(shift, cases, offroad, rewritten(offroad, effect.strength, step))
    # what was written to try it out is taken back
    assert [bench.effect(e.strength) for e in chosen] == chosen


@pytest.mark.parametrize("name", ["plug-worn", "blade-bent"])
def test_a_moved_prior_ranks_as_a_rewritten_pack_does(mower: RuleBase, name: str) -> None:
    """In the cases where some evidence bears on the cause; in the others it is left as it is."""
    shop = Assessor(mower)
    network = shop.model.network

    def bears_on_it(case: Case) -> bool:
        seen = {node for item in shop.model.believe(case).evidence for node in item.nodes}
        return bool(network.touches(seen)[network.cause_index[name]])

    cases = [
        case
        for case in load_worked_cases(mower, MOWER / WORKED_CASES)
        if bears_on_it(case.case) and case.case.machine.get("engine") != "electric"
    ]
    assert cases
    bench = Bench(shop, cases)
    effect = bench.effect(next(s for s in strengths(mower) if s.is_prior and s.cause == name))
    for shift, factor in ((effect.down, 0.5), (effect.up, 2.0)):
        cause = mower.causes[name]
        other = cause.model_copy(update={"per_100": cause.per_100 * factor})
        holds(shift, cases, mower, replace(mower, causes={**mower.causes, name: other}))


def test_the_scale_ends_somewhere(mower: RuleBase) -> None:
    bench = Bench(Assessor(mower), load_worked_cases(mower, MOWER / WORKED_CASES))
    sure = next(s for s in strengths(mower) if s.word == "virtually certain")
    assert bench.effect(sure).up is None
    assert bench.effect(sure).down is not None


def test_every_written_word_is_a_strength(mower: RuleBase) -> None:
    """One word for every place of a complaint is one strength of several links."""
    found = list(strengths(mower))
    assert sum(s.is_prior for s in found) == len(mower.causes)
    shaking = next(s for s in found if (s.cause, s.shows) == ("blade-bent", "vibration"))
    assert {link.node for link in shaking.links} == {"vibration/deck", "vibration/handle"}
    assert sum(len(s.links) for s in found) == sum(len(link.words) for link in mower.links)


def test_a_link_knows_where_it_was_written(offroad: RuleBase) -> None:
    """Beside the cause, or beside the finding that names it."""
    lines = (OFFROAD / "harshness.yaml").read_text(encoding="utf-8").splitlines()
    finding = "front-tyre-or-damping"
    cause = next(iter(offroad.findings[finding].shown_by))
    link = next(n for n in offroad.links if (n.cause, n.node) == (cause, finding))
    origin = link_origin(offroad, link)
    assert origin.file == "offroad/harshness.yaml"
    assert cause in lines[origin.line - 1]
