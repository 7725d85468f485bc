"""Cases by seed, level and theme, and worked cases to be played."""

from __future__ import annotations

import os
import subprocess
import sys

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.case.files import load_worked_cases
from diagnose.training.customers.guide import Guide, causes_of
from diagnose.training.customers.scenario import (
    LEVELS,
    Level,
    draw_scenario,
    scenario_named,
    worked_scenario,
)
from diagnose.training.play.encounter import Encounter
from rules.loading.pack_files import OFFROAD, WORKED_CASES
from rules.problems import BadInput
from rules.rulebase import RuleBase

# A class compares its scores by seed: these may change only together with the pack or with `Dice`.
PINNED: list[tuple[int, Level | None, tuple[str, ...], str, int]] = [
    (1, None, ("battery-flat",), "no-start", 199023351),
    (2, None, ("blade-bent",), "vibration/handle", 904375941),
    (0, "single", ("stale-fuel",), "no-start", 504479409),
    (3, "two-causes", ("blade-bent", "heights-wrong"), "vibration/deck", 1452608099),
    (4, "misleading", ("carburettor-gummed",), "no-start", 1669301176),
]


@pytest.mark.parametrize(("seed", "level", "causes", "complaint", "bike_seed"), PINNED)
def test_these_seeds_give_these_cases(
    mower: RuleBase,
    mower_guide: Guide,
    seed: int,
    level: Level | None,
    causes: tuple[str, ...],
    complaint: str,
    bike_seed: int,
) -> None:
    drawn = draw_scenario(mower, mower_guide, seed, level)
    assert (drawn.truth.causes, drawn.truth.complaint.key) == (causes, complaint)
    assert drawn.bike_seed == bike_seed


@pytest.mark.long
def test_another_process_with_another_hash_seed_draws_the_same(
    offroad: RuleBase, offroad_guide: Guide
) -> None:
    code = (
        "from rules.loading.loader import OFFROAD, load_pack\n"
        "from diagnose.training.customers.guide import load_guide\n"
        "from diagnose.training.customers.scenario import draw_scenario\n"
        "rules = load_pack(); guide = load_guide(rules, OFFROAD)\n"
        "for seed in range(3):\n"
        "    s = draw_scenario(rules, guide, seed, 'two-causes')\n"
        "    m = s.bike(rules)\n"
        "    print(s.truth, s.told, s.rider, [m.answer(n) for n in list(rules.observations)[:40]])\n"
    )
    environment = {**os.environ, "PYTHONHASHSEED": "4711"}
    done = subprocess.run(
        [sys.executable, "-c", code], env=environment, capture_output=True, text=True, check=True
    )
    lines = []
    for seed in range(3):
        s = draw_scenario(offroad, offroad_guide, seed, "two-causes")
        m = s.bike(offroad)
        answers = [m.answer(name) for name in list(offroad.observations)[:40]]
        lines.append(f"{s.truth} {s.told} {s.rider} {answers}")
    assert done.stdout.splitlines() == lines


@pytest.mark.parametrize("level", LEVELS)
def test_a_level_is_what_it_says(offroad: RuleBase, offroad_guide: Guide, level: Level) -> None:
    felt = {
        (link.cause, link.node): offroad.causes[link.cause].per_100 * (1 - link.chances[0])
        for link in offroad.links
    }
    outside = causes_of(offroad, offroad_guide.not_suspension)
    for seed in range(8):
        drawn = draw_scenario(offroad, offroad_guide, seed, level)
        causes, node = drawn.truth.causes, drawn.truth.complaint.key
        # alone, and given the complaint alone, how many applicable causes are likelier?
        likelier = [
            cause
            for (cause, shown_on), weight in felt.items()
            if shown_on == node
            and weight > felt[(causes[0], node)]
            and all(drawn.truth.machine[t] in o for t, o in offroad.causes[cause].needs.items())
        ]
        assert drawn.bike(offroad).behind == set(causes)
        if level == "single":
            assert len(causes) == 1 and len(likelier) < 3
        elif level == "two-causes":
            assert len({offroad.causes[cause].correction for cause in causes}) == 2
        elif level == "misleading":
            assert len(causes) == 1 and len(likelier) >= 3
        else:
            assert set(causes) <= outside


def test_a_theme_is_kept_to(offroad: RuleBase, offroad_guide: Guide) -> None:
    for theme, entry in offroad_guide.themes.items():
        for seed in range(3):
            drawn = draw_scenario(offroad, offroad_guide, seed, theme=theme)
            assert set(drawn.truth.causes) <= causes_of(offroad, entry)


def test_what_fits_nothing_is_said(offroad: RuleBase, offroad_guide: Guide) -> None:
    with pytest.raises(BadInput, match="no cause of the theme 'seals'"):
        draw_scenario(offroad, offroad_guide, 1, "not-suspension", "seals")


@pytest.mark.parametrize("name", ["7", "7:single", "7::fuel", "7:single:fuel"])
def test_an_id_names_its_case(mower: RuleBase, mower_guide: Guide, name: str) -> None:
    named = scenario_named(mower, mower_guide, name)
    assert named.id == name
    assert scenario_named(mower, mower_guide, named.id) == named


@pytest.mark.parametrize("name", ["", "x", "7:hard", "7:single:grass", "worked:none", "-3"])
def test_an_id_that_names_nothing_is_refused(
    mower: RuleBase, mower_guide: Guide, name: str
) -> None:
    with pytest.raises(BadInput):
        scenario_named(mower, mower_guide, name)


def test_every_worked_case_can_be_played(
    offroad: RuleBase, offroad_guide: Guide, offroad_assessor: Assessor
) -> None:
    """Written answers come as written, and every true cause able to make a complaint is behind."""
    worked = load_worked_cases(offroad, OFFROAD / WORKED_CASES)
    assert len(worked) >= 25
    for case in worked[::8]:
        scenario = worked_scenario(offroad, offroad_guide, case)
        bike = scenario.bike(offroad)
        assert bike.able <= bike.behind
        assert all(bike.answer(name) == answer for name, answer in scenario.given.items())
    encounter = Encounter(offroad_assessor, offroad_guide, scenario)
    assert encounter.customer.words and encounter.customer.bike
    assert len(encounter.case.events) == len(scenario.complaints) + len(scenario.told)


def test_the_customer_tells_what_happened_and_not_what_did_not(
    offroad: RuleBase, offroad_guide: Guide
) -> None:
    told = [draw_scenario(offroad, offroad_guide, seed) for seed in range(12)]
    for scenario in told:
        bike = scenario.bike(offroad)
        for name in scenario.told:
            answer = bike.answer(name)
            assert answer.is_known and answer.state != offroad.observations[name].normal
    assert len({name for s in told for name in s.told}) > 8
