"""Steps that a pair of hands can carry out, answers that people give, and what seeing settles."""

from __future__ import annotations

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.advice.reasons import AnswersClash
from diagnose.case.events import Case, Complained, read_answer
from diagnose.case.files import case_from_bytes
from diagnose.case.writing import case_yaml
from diagnose.inference.found_faults import found_faults
from rules.rulebase import RuleBase


@pytest.mark.parametrize(
    ("correction", "first", "then"),
    [
        ("set-front-tyre-pressure", "Read the gauge once more", "fit the valve cap"),
        ("level-fork-legs", "slides by hand", "Tighten the axle to torque"),
        ("clean-fork-seals", "Slide a thin rounded plastic strip", "after a sweep that was done"),
        ("clean-fork-seals", "Look at the lip", "Slide a thin rounded plastic strip"),
    ],
)
def test_what_is_looked_at_comes_before_what_hides_it(
    offroad: RuleBase, correction: str, first: str, then: str
) -> None:
    steps = " ".join(offroad.corrections[correction].steps)
    assert 0 <= steps.index(first) < steps.index(then)


def test_steps_beside_a_picture_of_something_else_name_the_drawing_they_mean(
    offroad: RuleBase,
) -> None:
    entry = offroad.corrections["dry-and-grease-pivots"]
    assert entry.picture == "washing-angles"
    assert "as the manual draws it" in " ".join(entry.steps)
    bare = [
        key
        for key, correction in offroad.corrections.items()
        if correction.picture and "as drawn" in " ".join(correction.steps)
    ]
    assert bare == []


def test_easing_one_clamp_says_that_the_other_stays_tight(offroad: RuleBase) -> None:
    for name in ("front-sticks-after-loosening-clamps", "front-sticks-after-loosening-upper"):
        assert "stay tight" in " ".join(offroad.observations[name].how)


def test_a_broken_top_out_spring_has_work_of_its_own(offroad: RuleBase) -> None:
    correction = offroad.causes["fork-top-out-spring-broken"].correction
    assert "top-out" in offroad.corrections[correction].title


def test_handing_a_frame_over_costs_less_than_giving_up(offroad: RuleBase) -> None:
    minutes = offroad.corrections["have-frame-replaced"].minutes
    assert minutes < offroad.policy.hand_over_minutes


def test_squaring_the_front_end_is_counted_as_one_job(offroad: RuleBase) -> None:
    look, work = offroad.observations["legs-come-straight"], offroad.corrections["square-fork-legs"]
    assert look.settles["fork-legs-twisted"] == ("comes-straight",)
    assert look.minutes + work.minutes <= 25


@pytest.mark.parametrize(
    ("observation", "said", "state"),
    [
        ("hours-since-linkage-greased", "Never", "far-over"),
        ("hours-fork-service", "never", "far-over"),
        ("leg-distance-difference", "plainly squeezed", "squeezed"),
        ("fork-preload-measured", "adjuster near its end", "much"),
        ("corner-seat-watched", "middle", "middle"),
        ("weep-stops-after-bleeding", "faint", "faint"),
    ],
)
def test_what_people_answer_without_a_figure_is_taken(
    offroad: RuleBase, observation: str, said: str, state: str
) -> None:
    assert read_answer(offroad, observation, said).state == state
    assert read_answer(offroad, observation, state).state == state


def test_an_answer_in_words_counts_and_comes_back_from_its_file(
    offroad_assessor: Assessor, offroad: RuleBase
) -> None:
    never = read_answer(offroad, "hours-since-linkage-greased", "never")
    case = Case(events=(Complained("harsh", "rear"), never))
    text, left_out = case_yaml(case)
    assert (case_from_bytes(offroad, text.encode(), "kept").events, left_out) == (case.events, ())

    def dry(one: Case) -> float:
        ranked = offroad_assessor.assess(one).ranking.causes
        return next(c.probability for c in ranked if c.cause == "linkage-bearings-dry")

    assert dry(case) > dry(Case(events=case.events[:1]))


@pytest.mark.parametrize(
    ("complaint", "observation", "state", "cause"),
    [
        ("loose-rear", "rear-tyre-knobs", "cords", "rear-tyre-worn"),
        ("noise", "fork-guard-look", "rubs", "fork-guards-rubbing"),
        ("harsh", "bleed-hiss", "long", "fork-air-trapped"),
        ("wallowing", "rear-spoke-tap", "broken", "rear-spokes-loose"),
        ("loose-rear", "chain-even", "varies", "chain-too-loose"),
    ],
)
def test_what_is_seen_settles_it(
    offroad_assessor: Assessor,
    offroad: RuleBase,
    complaint: str,
    observation: str,
    state: str,
    cause: str,
) -> None:
    case = Case(events=(Complained(complaint), read_answer(offroad, observation, state)))
    model = offroad_assessor.model
    assert cause in {fault.cause for fault in found_faults(model, model.believe(case))}


def test_a_tyre_down_to_its_cords_is_not_ridden(
    offroad_assessor: Assessor, offroad: RuleBase
) -> None:
    answer = read_answer(offroad, "front-tyre-knobs", "cords")
    assert offroad_assessor.assess(Case(events=(Complained("pushing"), answer))).bans


@pytest.mark.parametrize(
    ("complaint", "said"),
    [
        ("harsh", {"linkage-strip-look": "rusted", "hours-since-linkage-greased": "2 h"}),
        (
            "bottoming",
            {
                "rear-race-sag-measured": "60 mm",
                "rear-attitude-look": "tail-down",
                "preload-ring-look": "backed-off",
            },
        ),
    ],
)
def test_of_answers_that_clash_a_cheap_one_is_checked_first(
    offroad_assessor: Assessor, offroad: RuleBase, complaint: str, said: dict[str, str]
) -> None:
    """Hours before a strip, and a two-minute look before a sag that stands in both clashes."""
    answers = tuple(read_answer(offroad, name, text) for name, text in said.items())
    again = offroad_assessor.assess(Case(events=(Complained(complaint, "rear"), *answers))).step
    assert again.kind == "check-again"
    assert isinstance(again.why, AnswersClash)
    assert offroad.observations[again.why.check[0]].minutes <= 2


def test_the_brake_is_looked_at_when_the_front_wheel_is_not_centred(
    offroad_assessor: Assessor, offroad: RuleBase
) -> None:
    for complaint in ("harsh", "noise"):
        said = (Complained(complaint, "front"), read_answer(offroad, "front-wheel-centred", "off"))
        assert offroad_assessor.assess(Case(events=said)).step.target == "front-brake-spin"


def test_a_rear_wheel_that_stands_crooked_speaks_for_a_dragging_brake(
    offroad_assessor: Assessor, offroad: RuleBase
) -> None:
    def chance(right: str) -> float:
        sides = {"rear-adjuster-left": "30 mm", "rear-adjuster-right": right}
        said = tuple(read_answer(offroad, name, text) for name, text in sides.items())
        made = offroad_assessor.assess(Case(events=(Complained("harsh", "rear"), *said)))
        return made.ranking.find("rear-brake-dragging").probability

    assert chance("34 mm") > 1.5 * chance("30 mm")


def test_where_a_brake_lets_go_tells_who_holds_it(
    offroad_assessor: Assessor, offroad: RuleBase
) -> None:
    """Caliper, master cylinder, or the anti-lock unit between them; held pressure is not ridden."""
    for state, cause in {
        "stays": "front-brake-dragging",
        "at-master": "front-brake-pressure-held",
        "at-caliper": "abs-holds-pressure",
    }.items():
        said = tuple(
            read_answer(offroad, name, text)
            for name, text in {"front-brake-spin": "drags", "front-brake-let-off": state}.items()
        )
        case = Case({"abs": "fitted"}, events=(Complained("harsh", "front"), *said))
        made = offroad_assessor.assess(case)
        assert made.ranking.causes[0].cause == cause
        assert bool(made.bans) == (state != "stays")
