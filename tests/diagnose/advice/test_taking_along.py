"""What a rider takes along: all that is known, and what a workshop would look at."""

from __future__ import annotations

from pathlib import Path

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.advice.taking_along import goes_along, take_along
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


def test_the_suspects_are_those_of_the_case(garden: Assessor) -> None:
    made = garden.assess(given_up())
    along = take_along(garden, made)
    chances = {item.cause: item.probability for item in made.ranking.causes}
    assert dict(along.suspects) == {
        cause: chances[cause] for cause in ("plug-worn", "carburettor-gummed")
    }
    assert [chance for _, chance in along.suspects] == sorted(chances.values())[::-1][:2]
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
    assert "rear-tyre-pressure-high" not in dict(along.suspects)
