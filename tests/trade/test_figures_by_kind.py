"""What a technician may call wrong without the manual, by kind of bike, and what not."""

from __future__ import annotations

import pytest

from diagnose.advice.assessor import Assessment, Assessor
from diagnose.case.events import Case, machine_traits, read_answer, read_complaint, read_target
from diagnose.case.figures import figure_of
from diagnose.case.files import load_worked_case
from diagnose.inference.found_faults import FoundFault
from diagnose.words.assessment_document import document
from rules.loading.pack_files import OFFROAD, WORKED_CASES
from rules.rulebase import RuleBase

FULL = {"class": "full-size"}


def made(
    shop: Assessor, traits: dict[str, str], complaint: str, *said: str, manual: tuple[str, ...] = ()
) -> Assessment:
    """A case with readings such as `chain-slack=28 mm`, and figures of its manual likewise."""
    answers = [read_answer(shop.rules, *text.split("=")) for text in said]
    targets = dict(read_target(shop.rules, *text.split("=")) for text in manual)
    return shop.assess(Case(traits, targets, (read_complaint(shop.rules, complaint), *answers)))


def faults(assessment: Assessment) -> dict[str, FoundFault]:
    return {fault.cause: fault for fault in assessment.faults}


@pytest.mark.parametrize(
    ("traits", "complaint", "reading"),
    [
        ({"fork": "air-two-leg"}, "harsh/front", "air-fork-left-measured=2.4 bar"),
        ({"fork": "air"}, "harsh/front", "air-fork-main-measured=2.4 bar"),
        ({"fork": "air-single", "class": "mini"}, "harsh/front", "air-fork-main-measured=4 bar"),
        ({"fork": "air-outer"}, "harsh/front", "air-fork-main-measured=12 bar"),
        (FULL, "noise/rear", "chain-slack=28 mm"),
        (FULL, "noise/rear", "chain-slack=64 mm"),
        (FULL, "harsh/front", "upper-clamp-torque-found=22 N·m"),
        (FULL, "harsh/front", "lower-clamp-torque-found=12 N·m"),
        (FULL, "harsh/front", "lower-clamp-torque-found=22 N·m"),
        ({"rear": "linkless"}, "harsh/rear", "rear-race-sag-measured=114 mm"),
        (FULL, "harsh/front", "front-axle-runout=0.6 mm"),
        (FULL, "harsh/front", "fork-tube-roll=0.5 mm"),
        (FULL, "rear-swap", "swingarm-side-play=0.8 mm"),
        ({"class": "adventure"}, "harsh/front", "front-tyre-gauge=33 psi"),
        ({"class": "adventure"}, "harsh/rear", "rear-tyre-gauge=42 psi"),
        ({"class": "trials"}, "harsh/rear", "rear-tyre-gauge=4 psi"),
        ({"class": "supermoto"}, "harsh/front", "front-tyre-gauge=29 psi"),
        ({"class": "mini"}, "harsh/rear", "rear-race-sag-measured=84 mm"),
    ],
)
def test_what_such_bikes_are_built_to_is_neither_a_fault_nor_a_ban(
    offroad_assessor: Assessor, traits: dict[str, str], complaint: str, reading: str
) -> None:
    found = made(offroad_assessor, traits, complaint, reading)
    observation = reading.partition("=")[0]
    assert observation in found.belief.findings.unjudged
    assert not found.faults
    assert not found.bans


@pytest.mark.parametrize(
    ("traits", "complaint", "reading", "cause"),
    [
        (FULL, "harsh/front", "front-tyre-gauge=25 psi", "front-tyre-pressure-high"),
        ({"class": "trials"}, "harsh/rear", "rear-tyre-gauge=14 psi", "rear-tyre-pressure-high"),
        ({"class": "adventure"}, "loose-rear", "rear-tyre-gauge=13 psi", "rear-tyre-pressure-low"),
        ({"fork": "air-two-leg"}, "harsh/front", "air-fork-right-measured=10.5 bar", "air-fork-pressure-high"),
        (FULL, "harsh/front", "front-axle-runout=1.2 mm", "front-axle-bent"),
    ],
)  # fmt: skip
def test_what_no_such_bike_is_built_to_is_off(
    offroad_assessor: Assessor, traits: dict[str, str], complaint: str, reading: str, cause: str
) -> None:
    assert cause in faults(made(offroad_assessor, traits, complaint, reading))


def test_a_low_pressure_air_fork_is_never_told_the_pressure_of_another_kind(
    offroad: RuleBase,
) -> None:
    low = figure_of(offroad, Case({"fork": "air-two-leg"}), "air-fork-leg-pressure")
    assert low.value.to("bar").value < 3
    unknown = figure_of(offroad, Case({"fork": "air"}), "air-fork-main-pressure")
    assert not unknown.says_anything


def test_the_manuals_figure_judges_what_the_rule_of_thumb_may_not(
    offroad_assessor: Assessor,
) -> None:
    tight = ("chain-slack=28 mm",)
    by_manual = made(offroad_assessor, FULL, "noise/rear", *tight, manual=("chain-slack=55 mm",))
    assert "chain-too-tight" in faults(by_manual)
    fine = made(offroad_assessor, FULL, "noise/rear", *tight, manual=("chain-slack=30 mm",))
    assert not fine.faults
    bent = made(offroad_assessor, FULL, "harsh/front", "front-axle-runout=0.6 mm",
                manual=("front-axle-swing=0.2 mm",))  # fmt: skip
    assert bent.bans
    allowed = made(offroad_assessor, FULL, "harsh/front", "front-axle-runout=0.6 mm",
                   manual=("front-axle-swing=1 mm",))  # fmt: skip
    assert not allowed.bans and not allowed.faults


def test_15_psi_leans_towards_too_high_on_a_motocross_tyre(offroad_assessor: Assessor) -> None:
    def chance(*said: str) -> float:
        return (
            made(offroad_assessor, FULL, "harsh/front", *said)
            .ranking.find("front-tyre-pressure-high")
            .probability
        )

    assert chance("front-tyre-gauge=12.5 psi") < chance() < chance("front-tyre-gauge=15.5 psi")
    assert chance("front-tyre-gauge=15.5 psi") < chance("front-tyre-gauge=18 psi") < 0.5


def test_clamps_slack_on_any_bike_forbid_riding(offroad_assessor: Assessor) -> None:
    assert made(offroad_assessor, FULL, "harsh/front", "lower-clamp-torque-found=5 N·m").bans


@pytest.mark.parametrize(
    ("kind", "least_safe", "too_soft"),
    [("full-size", 8, 6), ("mini", 9, 6), ("trail", 12, 8), ("adventure", 19, 16), ("trials", 3, 2),
     ("supermoto", 18, 12)],
)  # fmt: skip
def test_a_tyre_softer_than_any_maker_allows_is_not_ridden(
    offroad_assessor: Assessor, kind: str, least_safe: int, too_soft: int
) -> None:
    def bans(psi: int) -> int:
        reading = f"rear-tyre-gauge={psi} psi"
        return len(made(offroad_assessor, {"class": kind}, "loose-rear", reading).bans)

    assert (bans(least_safe), bans(too_soft)) == (0, 1)


def test_play_behind_is_held_to_the_manuals_figure(offroad_assessor: Assessor) -> None:
    play = ("rear-lift-play=2.5 mm",)
    by_thumb = made(offroad_assessor, FULL, "knock/rear", *play)
    assert "rear-lift-play" in by_thumb.belief.findings.unjudged
    tight = made(
        offroad_assessor, FULL, "knock/rear", *play, manual=("rear-lift-play-limit=0.5 mm",)
    )
    assert tight.bans and not by_thumb.bans
    assert made(offroad_assessor, FULL, "knock/rear", "rear-lift-play=8 mm").bans


@pytest.mark.parametrize("fork", ["air", "air-single", "air-two-leg", "air-balance", "air-outer"])
def test_air_forks_trap_outside_air_too(offroad_assessor: Assessor, fork: str) -> None:
    found = made(offroad_assessor, {"fork": fork}, "harsh/front")
    assert "fork-air-trapped" not in found.belief.findings.not_applicable
    assert "bleed-hiss" not in found.belief.findings.not_applicable


def test_every_figure_says_what_bikes_of_the_kind_are_built_to(offroad: RuleBase) -> None:
    """Only then does a rule of thumb know where it may not judge."""
    for option in offroad.traits["class"].options:
        for spec in offroad.specs:
            figure = figure_of(offroad, Case({"class": option}), spec)
            assert figure.usual is not None or not figure.says_anything, (spec, option)


def test_a_youth_bike_outgrown_is_set_for_its_rider(offroad_assessor: Assessor) -> None:
    """62 kg on springs for 45 kg: the rider's weight leads, and there is something to do."""
    path = OFFROAD / WORKED_CASES / "grown-out-of-it-over-the-winter.yaml"
    outgrown = load_worked_case(offroad_assessor.rules, path)
    found = offroad_assessor.assess(outgrown.case)
    assert found.ranking.causes[0].cause == "rider-weight-changed"
    assert "set-for-rider-weight" in found.plan.corrections


@pytest.mark.parametrize(
    ("traits", "asked", "never"),
    [
        ({"rear": "linkless"}, "rear-play-where-linkless", "rear-play-where"),
        ({"rear": "linkage"}, "rear-play-where", "rear-play-where-linkless"),
        ({"fork": "coil-closed-quantity"}, "fork-oil-quantity-drained", "fork-oil-level-measured"),
        ({"electronics": "fitted"}, "rear-race-sag-measured", "shock-rebound-clicks"),
        ({"abs": "fitted"}, "abs-lamp-and-ring", "rear-play-where-linkless"),
        ({}, "shock-rebound-clicks", "abs-lamp-and-ring"),
    ],
)
def test_a_bike_is_asked_what_it_has(
    offroad_assessor: Assessor, traits: dict[str, str], asked: str, never: str
) -> None:
    hidden = made(offroad_assessor, traits, "harsh").belief.findings.not_applicable
    assert never in hidden and asked not in hidden


def test_a_lowered_bike_is_not_held_to_what_it_was_built_to(offroad_assessor: Assessor) -> None:
    found = made(
        offroad_assessor, {"height": "lowered"}, "harsh/rear", "rear-race-sag-measured=70 mm"
    )
    assert not found.faults


def test_the_document_says_whose_figure_it_is(offroad_assessor: Assessor) -> None:
    found = made(offroad_assessor, FULL, "harsh/front", "front-tyre-gauge=15 psi", "chain-slack=28 mm",
                 "rear-tyre-gauge=15 psi", manual=("rear-tyre-pressure=14 psi",))  # fmt: skip
    told = document(offroad_assessor.rules, found.belief.case, found)
    assert [(f.observation, f.value, f.rank, f.judges) for f in told.figures] == [
        ("front-tyre-gauge", "12.5 psi", "thumb", False),
        ("chain-slack", "", "thumb", False),
        ("rear-tyre-gauge", "14 psi", "manual", True),
    ]


def test_an_unsafe_fault_found_by_a_rule_of_thumb_is_no_ban_by_itself(
    offroad_assessor: Assessor,
) -> None:
    worn = ("chain-stretch=2.6 %",)
    by_thumb = made(offroad_assessor, FULL, "noise/rear", *worn)
    assert "chain-worn-out" in faults(by_thumb)
    assert offroad_assessor.rules.causes["chain-worn-out"].unsafe
    assert not by_thumb.bans
    assert made(
        offroad_assessor, FULL, "noise/rear", *worn, manual=("chain-stretch-limit=1.7 %",)
    ).bans


TYRE_HIGH = ("harsh/front", "shows-small-chop=yes", "changed-front-tyre-new=yes")
FORK_LOW = ("diving", "air-fork-unchecked=yes", "front-travel-used=all")
FORK_HIGH = ("harsh/front", "air-fork-unchecked=yes", "front-travel-used=little")
TWO_LEG = {"fork": "air-two-leg", "class": "full-size"}


@pytest.mark.parametrize(
    ("traits", "told", "reading", "cause"),
    [
        (FULL, TYRE_HIGH, "front-tyre-gauge=13 psi", "front-tyre-pressure-high"),
        (TWO_LEG, FORK_LOW, "air-fork-left-measured=35 psi", "air-fork-pressure-low"),
        (TWO_LEG, FORK_HIGH, "air-fork-left-measured=35 psi", "air-fork-pressure-high"),
    ],
)
def test_a_reading_at_the_usual_figure_speaks_plainly_against_too_high_and_too_low(
    offroad_assessor: Assessor,
    traits: dict[str, str],
    told: tuple[str, ...],
    reading: str,
    cause: str,
) -> None:
    unread = made(offroad_assessor, traits, *told).ranking.find(cause).probability
    read = made(offroad_assessor, traits, *told, reading)
    assert unread > 0.15
    assert read.ranking.find(cause).probability < 0.03
    assert not read.faults
    assert all(not item.clears for item in read.belief.evidence)


def test_the_outer_chamber_of_an_air_fork_is_read_with_its_own_caution(
    offroad: RuleBase, offroad_assessor: Assessor
) -> None:
    """What belongs into an inner chamber goes easily into the outer valve."""
    assert "air-fork-valves" in offroad.observations["air-fork-outer-measured"].cautions
    assert "air-fork-valves" in offroad.corrections["set-air-fork-pressure"].cautions
    traits = {"fork": "air-outer"}
    wrong = made(offroad_assessor, traits, "harsh/front", "air-fork-outer-measured=10 bar")
    assert wrong.bans and "air-fork-outer-high" in faults(wrong)
    fine = made(offroad_assessor, traits, "harsh/front", "air-fork-outer-measured=0.8 bar")
    assert not fine.bans and not fine.faults
    hidden = made(offroad_assessor, {"fork": "air-balance"}, "harsh/front").belief.findings
    assert "air-fork-outer-measured" in hidden.not_applicable


@pytest.mark.parametrize("said", [(), ("air-fork-main-measured=9.5 bar",)])
def test_the_kind_of_an_air_fork_is_seen_before_its_pressure_is_read_or_judged(
    offroad_assessor: Assessor, said: tuple[str, ...]
) -> None:
    def first(*told: str, manual: tuple[str, ...] = ()) -> set[str]:
        found = made(offroad_assessor, {"fork": "air"}, "harsh/front", *told, manual=manual)
        at_air = {"air-fork-kind", "air-fork-main-measured", "manual-air-fork-main-pressure",
                  "air-fork-overnight-loss", "air-fork-left-measured"}  # fmt: skip
        return {option.observation for option in found.options} & at_air

    read = "air-fork-main-measured" if not said else "manual-air-fork-main-pressure"
    assert first(*said) == {"air-fork-kind"}
    assert read in first(*said, "air-fork-kind=air-single")
    assert read not in first(*said, "air-fork-kind=air-two-leg")
    assert "air-fork-left-measured" in first(*said, "air-fork-kind=air-two-leg")
    assert "manual-air-fork-main-pressure" in first(*said, "air-fork-kind=?")
    own = first(*said, manual=("air-fork-main-pressure=10.5 bar",))
    assert ("air-fork-main-measured" in own) is (not said)


def test_the_kind_of_fork_that_was_seen_gives_the_figure(offroad_assessor: Assessor) -> None:
    seen = made(offroad_assessor, {"fork": "air"}, "harsh/front", "air-fork-kind=air-two-leg",
                "air-fork-left-measured=10.5 bar")  # fmt: skip
    assert "air-fork-pressure-high" in faults(seen)
    coil = Case({"fork": "coil-open"}, {}, seen.belief.case.events)
    assert machine_traits(offroad_assessor.rules, coil)["fork"] == "coil-open"
