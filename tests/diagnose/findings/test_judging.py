"""Readings held to the bike's own figure, and to one that is only for its kind."""

from __future__ import annotations

import shutil
from collections.abc import Callable

import pytest

from diagnose.advice.assessor import Assessment, Assessor
from diagnose.case.events import Answered, Case, Complained
from diagnose.findings.concluding import MOST_BELIEVED, FindingsEngine
from rules.loading.loader import load_pack
from rules.units.quantities import Quantity
from tests.places import MOWER

MORE = """
rules:
  gap-forbids: {when: {fact: plug-gap-reading, is: wide}, then: {do_not_ride: It may catch fire.}, source: made-up}
  gap-far: {when: {reading: plug-gap-reading, above: target x 4}, then: {caution: plug-lead}, source: made-up}
"""
OWN = {"plug-gap": Quantity(0.6, "mm")}
Make = Callable[[str], Assessor]


@pytest.fixture(scope="module")
def ranged(tmp_path_factory: pytest.TempPathFactory) -> Make:
    """`ranged(usual)`: the mower whose plug gaps have a usual range, and a gap that forbids."""

    def make(more: str) -> Assessor:
        folder = tmp_path_factory.mktemp("ranged")
        shutil.copytree(MOWER, folder, dirs_exist_ok=True)
        pack = (folder / "pack.yaml").read_text("utf-8")
        spec = "default: {small: 0.6 mm, large: 0.8 mm}, source"
        settles = "    background: {narrow: very unlikely, wide: very unlikely}\n"
        assert pack.count(spec) == pack.count(settles) == 1
        pack = pack.replace(spec, f"default: {{small: 0.6 mm, large: 0.8 mm}}, {more}source")
        pack = pack.replace(settles, f"{settles}    settles: {{plug-worn: wide}}\n")
        (folder / "pack.yaml").write_text(pack, "utf-8")
        (folder / "more.yaml").write_text(MORE, "utf-8")
        return Assessor(load_pack(folder))

    return make


@pytest.fixture(scope="module")
def usual(ranged: Make) -> Assessor:
    return ranged("usual: 0.4 to 1.4 mm, ")


def said(assessor: Assessor, gap: float, targets: dict[str, Quantity] | None = None) -> Assessment:
    reading = Answered("plug-gap-reading", reading=Quantity(gap, "mm"))
    return assessor.assess(Case({}, targets or {}, (Complained("no-start"), reading)))


def chance(assessment: Assessment) -> float:
    return assessment.ranking.find("plug-worn").probability


def before(assessor: Assessor) -> float:
    return chance(assessor.assess(Case(events=(Complained("no-start"),))))


def test_inside_the_usual_range_a_reading_is_not_judged(usual: Assessor) -> None:
    found = said(usual, 1.3).belief.findings
    assert "plug-gap-reading" not in found.states
    held = found.unjudged["plug-gap-reading"]
    assert held.state == "wide"
    assert held.weight == pytest.approx(MOST_BELIEVED * 0.7 / 0.8)
    assert not found.do_not_ride
    assert not said(usual, 1.3).faults


def test_by_the_bikes_own_figure_it_is(usual: Assessor) -> None:
    found = said(usual, 1.3, OWN)
    assert found.belief.findings.states["plug-gap-reading"] == "wide"
    assert [fault.cause for fault in found.faults] == ["plug-worn"]
    assert found.bans


def test_it_leans_the_more_the_farther_it_lies_from_the_usual_figure(usual: Assessor) -> None:
    leanings = [chance(said(usual, gap)) for gap in (0.95, 1.1, 1.3)]
    assert before(usual) < leanings[0] < leanings[1] < leanings[2]
    assert leanings[2] < chance(said(usual, 1.3, OWN)) / 2
    near, far = chance(said(usual, 0.6)), chance(said(usual, 0.8))
    assert chance(said(usual, 0.6, OWN)) < near < far < before(usual)


def test_outside_the_usual_range_it_is_off_and_found_but_forbids_nothing(usual: Assessor) -> None:
    found = said(usual, 1.6)
    assert found.belief.findings.states["plug-gap-reading"] == "wide"
    assert [fault.cause for fault in found.faults] == ["plug-worn"]
    assert not found.bans


def test_where_no_machine_is_safe_outside_it_riding_is_forbidden(ranged: Make) -> None:
    never = ranged("usual: 0.4 to 1.4 mm, never_beyond: true, ")
    assert said(never, 1.6).bans
    assert not said(never, 1.3).bans


def test_a_figure_that_may_not_speak_moves_nothing(ranged: Make) -> None:
    silent = ranged("usual: any, ")
    assert chance(said(silent, 4)) == pytest.approx(before(silent))
    assert not said(silent, 4).belief.findings.cautions
    assert said(silent, 4, OWN).belief.findings.cautions


def test_a_rule_of_thumb_without_a_range_forbids_nothing(ranged: Make) -> None:
    plain = ranged("")
    found = said(plain, 1.6)
    assert found.belief.findings.states["plug-gap-reading"] == "wide"
    assert not found.faults
    assert not found.bans


def test_plain_reasoning_holds_readings_to_the_same_figures(usual: Assessor) -> None:
    plain = FindingsEngine(usual.rules, plainly=True)
    for gap in (0.3, 0.6, 1.3, 1.6, 3):
        case = said(usual, gap).belief.case
        assert plain.conclude(case) == usual.model.findings.conclude(case)


def test_at_the_usual_figure_a_reading_says_plainly_that_nothing_is_off(usual: Assessor) -> None:
    found = said(usual, 0.6)
    held = found.belief.findings.unjudged["plug-gap-reading"]
    assert (held.state, held.weight) == ("ok", 1.0)
    assert said(usual, 0.65).belief.findings.unjudged["plug-gap-reading"].weight < 1
    assert all(not item.settles and not item.clears for item in found.belief.evidence)
