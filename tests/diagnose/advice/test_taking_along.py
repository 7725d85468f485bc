"""What a rider takes along: all that is known, and what a workshop would look at."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from pathlib import Path

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.advice.check_in import check_in
from diagnose.advice.planning import takes_a_ride
from diagnose.advice.taking_along import TakeAlong, goes_along, take_along
from diagnose.case.events import (
    Answered,
    Asking,
    Case,
    Complained,
    Corrected,
    read_answer,
    read_target,
)
from tests.mower_bikes import given_up, peopled_shop


@pytest.fixture
def garden(tmp_path: Path) -> Assessor:
    return peopled_shop(tmp_path)


def test_an_owner_who_gets_no_further_goes_to_the_shop(garden: Assessor) -> None:
    assert goes_along(garden.assess(given_up()))
    assert not goes_along(garden.assess(given_up(Asking("shop"))))
    assert not goes_along(garden.assess(Case({}, {}, (Asking("owner"), Complained("no-start")))))


def test_the_shop_is_told_to_check_what_the_owner_cannot(garden: Assessor) -> None:
    """What nobody remembers stays unknown; what was not to be seen in the garden is open again."""
    made = garden.assess(given_up())
    checks = [row.about for row in take_along(garden, made).checks]
    assert not {option.observation for option in made.options} & {"carburettor-inside"}
    assert {"carburettor-inside", "spark-seen", "plug-gap-reading"} <= set(checks)
    assert not {"stood-all-winter", "tank-look"} & set(checks)
    # nothing is opened before the rest
    assert checks[-1] == "carburettor-inside"


def test_it_is_the_shop_that_checks_also_where_owners_ask_first(garden: Assessor) -> None:
    policy = garden.rules.policy
    owner, shop = (policy.people[name] for name in ("owner", "shop"))
    turned = policy.model_copy(update={"people": {"owner": owner, "shop": shop}})
    other = Assessor(replace(garden.rules, policy=turned))

    def checks(assessor: Assessor) -> list[str]:
        made = assessor.assess(given_up())
        return [row.about for row in take_along(assessor, made).checks]

    assert checks(other) == checks(garden)
    assert "plug-gap-reading" in checks(other)


def test_the_suspects_are_those_of_the_case(garden: Assessor) -> None:
    made = garden.assess(given_up())
    along = take_along(garden, made)
    chances = {item.cause: item.probability for item in made.ranking.causes}
    assert [cause for r in along.repairs for cause in r.causes] == [
        (cause, chances[cause]) for cause in ("plug-worn", "carburettor-gummed")
    ]
    assert [r.chance for r in along.repairs] == pytest.approx(sorted(chances.values())[::-1][:2])
    assert along.nothing_listed == made.ranking.nothing_listed
    assert [told.key for told in along.answers] == ["tank-look"]


def test_what_was_found_and_put_right_is_known(offroad_assessor: Assessor) -> None:
    rules = offroad_assessor.rules
    case = Case(
        {},
        dict([read_target(rules, "rear-tyre-pressure", "12.5 psi")]),
        (
            Asking("trail"),
            Complained("harsh", "front"),
            read_answer(rules, "front-tyre-gauge", "25 psi"),
            read_answer(rules, "rear-tyre-gauge", "30 psi"),
            Corrected("set-front-tyre-pressure"),
            Answered("hours-fork-service"),
        ),
    )
    along = take_along(offroad_assessor, offroad_assessor.assess(case))
    assert [fault.cause for fault in along.found] == ["rear-tyre-pressure-high"]
    assert along.put_right == ("set-front-tyre-pressure",)
    shown = {told.key for told in along.answers}
    assert "rear-tyre-gauge" not in shown
    assert "rear-tyre-pressure-high" not in {c for r in along.repairs for c, _ in r.causes}


def torn_and_weeping(shop: Assessor, **more: str) -> TakeAlong:
    """A pressure-washed leg that lost its oil, as far as a home garage gets; names with _ for -."""
    answers = {
        "oil-on-front-brake": "near",
        "fork-oil-lost": "more",
        "changed-never-bled": "dont-know",
        "hours-fork-service": "dont-know",
        "changed-jet-at-seals": "yes",
        "weep-which-legs": "one",
        "stanchion-nail-test": "smooth",
        "seal-lip-look": "perished",
        **{key.replace("_", "-"): text for key, text in more.items()},
    }
    complaints = (Complained("seal-weep", "front"), Complained("harsh", "front"))
    said = [read_answer(shop.rules, name, text) for name, text in answers.items()]
    case = Case({"fork": "coil-closed"}, {}, (Asking("home"), *complaints, *said))
    return take_along(shop, shop.assess(case))


def test_what_is_open_with_the_likely_work_is_looked_at_then(offroad_assessor: Assessor) -> None:
    along = torn_and_weeping(offroad_assessor)
    first = along.repairs[0]
    assert first.correction == "replace-fork-seals" and first.chance > 0.8
    assert {"fork-seal-water-driven", "fork-seal-worn"} <= {cause for cause, _ in first.causes}
    assert {"fork-oil-level-measured", "fork-bushings-look"} <= set(first.with_it)
    assert "fork-oil-quantity-drained" not in first.with_it  # another kind of fork
    assert "fork-oil-level-low" in {cause for r in along.repairs for cause, _ in r.causes}
    listed = {row.about for row in along.checks}
    assert not listed & {name for r in along.repairs[:2] for name in r.with_it}


def test_the_likeliest_suspect_is_looked_at_first_and_unlikely_ones_fill_no_list(
    offroad_assessor: Assessor,
) -> None:
    along = torn_and_weeping(offroad_assessor)
    sure = {cause for cause, _ in along.repairs[0].causes}
    settling = [row.settles[0] for row in along.checks if row.settles and not row.opens]
    assert [chance for _, chance in settling] == sorted((c for _, c in settling), reverse=True)
    assert not {cause for cause, _ in settling} & sure
    unlikely = [cause for cause, chance in settling if chance < 0.25]
    assert len(unlikely) == len(set(unlikely))


@pytest.mark.parametrize(
    ("complaint", "place", "listed"), [("fading", "rear", [3, 1, 1]), ("diving", None, [1, 1])]
)
def test_a_likely_suspect_has_three_checks_and_another_one(
    offroad_assessor: Assessor, complaint: str, place: str | None, listed: list[int]
) -> None:
    """However many more could settle it."""
    case = Case(events=(Asking("home"), Complained(complaint, place)))
    along = take_along(offroad_assessor, offroad_assessor.assess(case))
    checks = Counter(row.settles[0] for row in along.checks)
    assert [checks[of] for of in sorted(checks, key=lambda of: -of[1])] == listed
    assert [chance >= 0.25 for _, chance in checks] == [number == 3 for number in listed]


def test_of_many_answers_ten_are_listed(offroad_assessor: Assessor) -> None:
    felt = (Asking("home"), Complained("harsh", "rear"), Complained("harsh", "front"))
    page = check_in(offroad_assessor, Case(events=felt))
    said = [Answered(name, "no") for name in (*page.since, *page.shows)]
    made = offroad_assessor.assess(Case(events=(*felt, *said)))
    assert len(said) == 12
    assert len(take_along(offroad_assessor, made).answers) == 10


def test_no_ride_stands_in_the_list_of_a_leg_that_weeps(offroad_assessor: Assessor) -> None:
    """With a torn lip, which forbids riding, and with one that is whole."""
    rules = offroad_assessor.rules
    for along in (
        torn_and_weeping(offroad_assessor),
        torn_and_weeping(offroad_assessor, seal_lip_look="supple"),
    ):
        assert along.checks and along.after
        assert not any(takes_a_ride(rules, row.about) for row in along.checks)
        assert all(takes_a_ride(rules, row.about) for row in along.after)


def test_what_was_looked_at_is_told_and_what_is_forgotten_is_not_asked_again(
    offroad_assessor: Assessor,
) -> None:
    along = torn_and_weeping(offroad_assessor)
    told = {item.key for item in along.answers}
    assert {"stanchion-nail-test", "oil-on-front-brake", "weep-which-legs"} <= told
    asked = {row.about for row in (*along.checks, *along.after)}
    assert not asked & {"changed-never-bled", "hours-fork-service"}
