"""Air forks: each kind is spoken to in its own words and by its own figures."""

from __future__ import annotations

import itertools
import re

import pytest

from diagnose.advice.assessor import Assessment, Assessor
from diagnose.case.events import Case, read_answer, read_complaint, read_target
from diagnose.case.figures import figure_of
from diagnose.records.bikes.bike import Bike
from diagnose.words.figure_words import figure_text
from rules.rulebase import RuleBase
from tui.bikes.bike_draft import BikeDraft, figures_of

TWO_LEG = {"class": "full-size", "fork": "air-two-leg"}
OTHER_KINDS = re.compile(r"\b1[0-4] ?bar|chamber after chamber|main chamber|balance|all chambers")


def two_leg(shop: Assessor, complaint: str, *said: str, manual: str = "35 psi") -> Assessment:
    target = dict([read_target(shop.rules, "air-fork-leg-pressure", manual)]) if manual else {}
    answers = [read_answer(shop.rules, *text.split("=")) for text in said]
    return shop.assess(Case(TWO_LEG, target, (read_complaint(shop.rules, complaint), *answers)))


def test_a_fork_with_air_in_both_legs_is_told_nothing_of_other_kinds(
    offroad_assessor: Assessor,
) -> None:
    rules = offroad_assessor.rules
    hidden = two_leg(offroad_assessor, "diving").belief.findings.not_applicable
    asked = [
        entry
        for name, entry in rules.observations.items()
        if name not in hidden | {"air-fork-kind"} and name.startswith(("air-fork", "air-legs"))
    ]
    assert len(asked) == 4
    causes = [
        entry
        for name, entry in rules.causes.items()
        if name not in hidden and name.startswith("air-fork")
    ]
    works = [rules.corrections[cause.correction] for cause in causes]
    assert len(works) == 3
    told = [
        *(text for entry in asked for text in (entry.ask, *entry.how)),
        *(text for cause in causes for text in (cause.title, cause.what)),
        *(text for work in works for text in (work.title, *work.steps, work.goes_wrong)),
        rules.cautions["air-fork-pressure"].text,
    ]
    assert [text for text in told if OTHER_KINDS.search(text)] == []


def test_both_legs_are_read_and_set_alike(offroad: RuleBase) -> None:
    for leg in ("left", "right"):
        entry = offroad.observations[f"air-fork-{leg}-measured"]
        assert entry.needs == {"fork": ("air-two-leg",)}
        assert "read alike" in " ".join(entry.how)
    steps = " ".join(offroad.corrections["set-air-fork-pressure"].steps)
    assert "Two air legs are set alike" in steps


@pytest.mark.parametrize("manual", ["35 psi", ""])
def test_legs_that_read_unlike_point_to_a_leak(offroad_assessor: Assessor, manual: str) -> None:
    def leak(right: str) -> float:
        said = ("air-fork-left-measured=35 psi", f"air-fork-right-measured={right}")
        found = two_leg(offroad_assessor, "diving", *said, manual=manual)
        state = "alike" if right == "35 psi" else "unlike"
        assert found.belief.findings.states["air-legs-alike"] == state
        return found.ranking.find("air-fork-leaking").probability

    assert leak("31 psi") > 0.3 > 5 * leak("35 psi")


def test_what_is_little_for_a_chamber_is_much_for_a_leg(offroad_assessor: Assessor) -> None:
    assert two_leg(offroad_assessor, "diving", "air-legs-overnight-loss=0.2 bar").faults
    assert not two_leg(offroad_assessor, "diving", "air-legs-overnight-loss=0.05 bar").faults


def test_a_leg_far_down_forbids_riding(offroad_assessor: Assessor) -> None:
    assert two_leg(offroad_assessor, "diving", "air-fork-right-measured=20 psi").bans
    assert not two_leg(offroad_assessor, "diving", "air-fork-right-measured=34.5 psi").bans


@pytest.mark.parametrize(
    ("fork", "listed"),
    [
        ("air-two-leg", {"air-fork-leg-pressure"}),
        ("air-single", {"air-fork-main-pressure"}),
        ("air-balance", {"air-fork-main-pressure", "air-fork-balance-pressure"}),
        ("coil-closed", set()),
    ],
)
def test_a_bikes_form_lists_the_chambers_that_its_fork_has(
    offroad: RuleBase, fork: str, listed: set[str]
) -> None:
    draft = BikeDraft.of(Bike("demo", {"class": "full-size", "fork": fork}))
    assert {name for name in figures_of(offroad, draft) if name.startswith("air-fork")} == listed


def test_no_figure_is_suggested_beyond_what_such_bikes_run(offroad: RuleBase) -> None:
    names = ("class", "fork", "rear", "height")
    for options in itertools.product(*(offroad.traits[name].options for name in names)):
        case = Case(dict(zip(names, options, strict=True)))
        for spec in offroad.specs:
            figure = figure_of(offroad, case, spec)
            assert not figure.is_beyond(figure.value), (spec, options)


def test_a_loss_over_night_is_said_to_be_read_tomorrow(offroad: RuleBase) -> None:
    for name in ("air-fork-overnight-loss", "air-legs-overnight-loss"):
        entry = offroad.observations[name]
        assert "read tomorrow; two readings of 5 minutes" in entry.ask
        assert entry.minutes == 2 * 5


def test_firmer_on_the_mountain_is_asked_plainly(offroad: RuleBase) -> None:
    ask = offroad.observations["fork-firmer-at-altitude"].ask
    assert "still cold, up at" not in ask
    assert "higher up, than it is at home" in ask


def test_a_usual_range_is_said_in_shop_words(offroad: RuleBase) -> None:
    figure = figure_of(offroad, Case({"class": "full-size"}), "front-tyre-pressure")
    assert "such bikes run 8 to 19.5 psi" in figure_text(figure)
