"""What work sets, and what was found and set."""

from __future__ import annotations

import pytest

from diagnose.case.events import Answered, Case, Complained, Corrected, read_answer, read_target
from diagnose.case.set_figures import (
    figure_to_set,
    figures_set_by,
    figures_to_ask,
    figures_to_find,
    found_and_set,
    still_stands,
)
from rules.rulebase import RuleBase

GAUGE, WORK = "rear-tyre-gauge", Corrected("set-rear-tyre-pressure")


def case_of(rules: RuleBase, *events: object, **targets: str) -> Case:
    given = dict(read_target(rules, name.replace("_", "-"), text) for name, text in targets.items())
    return Case({}, given, (Complained("harsh", "rear"), *events))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("correction", "readings"),
    [
        ("set-rear-tyre-pressure", ("rear-tyre-gauge",)),
        ("set-rear-sag", ("rear-race-sag-measured",)),
        ("set-fork-oil-level", ("fork-oil-level-measured", "fork-oil-quantity-drained")),
        ("change-fork-oil", ()),
        ("replace-front-axle", ()),
        ("dry-and-grease-pivots", ()),
    ],
)
def test_work_sets_what_can_be_off_to_both_sides(
    offroad: RuleBase, correction: str, readings: tuple[str, ...]
) -> None:
    """Not hours, wear or play, which have a limit on one side only."""
    assert figures_set_by(offroad, correction) == readings


def test_what_was_read_is_asked_for_again_else_the_first(offroad: RuleBase) -> None:
    read = read_answer(offroad, "fork-oil-quantity-drained", "400 ml")
    case = case_of(offroad)
    assert figures_to_ask(offroad, case, "set-fork-oil-level") == ("fork-oil-level-measured",)
    case = case_of(offroad, read)
    assert figures_to_ask(offroad, case, "set-fork-oil-level") == ("fork-oil-quantity-drained",)


def test_the_figure_to_set_is_in_the_unit_that_was_read(offroad: RuleBase) -> None:
    case = case_of(offroad, read_answer(offroad, GAUGE, "25 psi"), rear_tyre_pressure="0.9 bar")
    assert str(figure_to_set(offroad, case, GAUGE)) == "13.1 psi"


def test_no_rule_of_thumb_is_set_where_it_does_not_judge_the_reading(offroad: RuleBase) -> None:
    adventure = Case(
        {"class": "adventure"}, {}, (read_answer(offroad, "front-tyre-gauge", "36 psi"),)
    )
    assert figure_to_set(offroad, adventure, "front-tyre-gauge") is None


def test_found_and_set_and_what_stands_no_longer(offroad: RuleBase) -> None:
    before, after = read_answer(offroad, GAUGE, "25 psi"), read_answer(offroad, GAUGE, "13 psi")
    case = case_of(offroad, before)
    assert found_and_set(offroad, case, WORK.correction) == ()
    assert still_stands(offroad, case, GAUGE)
    case = case.with_event(WORK)
    (one,) = found_and_set(offroad, case, WORK.correction)
    assert (str(one.found), one.set_to) == ("25 psi", None)
    assert not still_stands(offroad, case, GAUGE)
    assert still_stands(offroad, case.with_event(Answered("front-tyre-gauge")), "front-tyre-gauge")
    case = case.with_event(after)
    (one,) = found_and_set(offroad, case, WORK.correction)
    assert (str(one.found), str(one.set_to)) == ("25 psi", "13 psi")
    assert still_stands(offroad, case, GAUGE)


def test_what_was_found_is_asked_before_the_work_unless_it_was_asked_already(
    offroad: RuleBase,
) -> None:
    read, unread = read_answer(offroad, GAUGE, "25 psi"), Answered(GAUGE, None)
    asked = {
        (): (GAUGE,),
        (read,): (),
        (unread,): (),
        (read, WORK): (GAUGE,),
        (read, WORK, read_answer(offroad, GAUGE, "13 psi")): (),
    }
    for events, expected in asked.items():
        case = case_of(offroad, *events)
        assert figures_to_find(offroad, case, WORK.correction) == expected
    assert figures_to_find(offroad, case_of(offroad), "change-fork-oil") == ()
