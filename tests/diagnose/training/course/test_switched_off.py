"""Training goes on with what a pack has switched off; what needs it is left out and named."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from diagnose.advice.assessor import Assessor
from diagnose.training.course.course import load_teaching
from diagnose.training.course.exam import check_teaching
from diagnose.training.customers.scenario import draw_scenario
from diagnose.training.habits.trainees import Advised, work
from diagnose.training.play.encounter import Encounter
from rules.loading.loader import load_pack, load_packs
from rules.loading.pack_files import OFFROAD
from tests.places import MOWER
from tui.cli.rules.check import check

MOWER_OBSERVATIONS = list(load_pack(MOWER).observations)


def without(folder: Path, observation: str, below: str = "mower") -> Path:
    """A pack that does nothing but switch one observation off."""
    shop = folder / "our-shop"
    shop.mkdir(exist_ok=True)
    (shop / "pack.yaml").write_text(
        "pack: {id: our-shop, title: Ours, version: '1', format: 1, about: Invented.,"
        f" builds_on: {below}}}\n"
        "sources: {ours: {kind: memory, title: invented for the tests}}\n"
        f"switched_off: {{observations: {{{observation}: {{reason: Not here., source: ours}}}}}}\n"
    )
    return shop


@pytest.mark.parametrize("observation", MOWER_OBSERVATIONS)
def test_training_goes_on_with_any_observation_switched_off(
    tmp_path: Path, observation: str
) -> None:
    packs = (MOWER, without(tmp_path, observation))
    rules = load_packs(packs)
    check_teaching(rules, packs)
    teaching = load_teaching(rules, packs)
    assert observation not in teaching.guide.checklist.observations
    named = {name for case in teaching.course.worked for name in _answered(case.case)}
    assert observation not in named
    case = draw_scenario(rules, teaching.guide, 1)
    assert work(Encounter(Assessor(rules), teaching.guide, case), Advised()).finished


def _answered(case: object) -> set[str]:
    return {getattr(event, "observation", "") for event in getattr(case, "events", ())}


def test_what_is_left_out_is_named_by_the_check(tmp_path: Path) -> None:
    packs = (MOWER, without(tmp_path, "tank-look"))
    left_out = load_teaching(load_packs(packs), packs).left_out
    assert left_out["last-years-fuel"] == ("observations", "tank-look")
    said = CliRunner().invoke(check, list(map(str, packs))).stdout
    assert "as tank-look is switched off" in said and "last-years-fuel" in said


def test_the_example_of_a_new_pack_leaves_training_whole(tmp_path: Path) -> None:
    """What the starter shows how to switch off."""
    packs = (without(tmp_path, "shock-fade-test", "offroad"),)
    rules = load_packs(packs)
    teaching = load_teaching(rules, packs)
    assert len(teaching.course.units) == len(load_teaching(load_pack(OFFROAD), ()).course.units)
    assert all(off == ("observations", "shock-fade-test") for off in teaching.left_out.values())


@pytest.mark.long
def test_training_goes_on_with_any_observation_of_the_shipped_pack_switched_off(
    tmp_path: Path,
) -> None:
    for observation in load_pack(OFFROAD).observations:
        packs = (without(tmp_path, observation, "offroad"),)
        rules = load_packs(packs)
        check_teaching(rules, packs)
        assert load_teaching(rules, packs).course.lessons
