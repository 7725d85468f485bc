"""What whoever asks can find out and can do."""

from __future__ import annotations

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.advice.means import OUT_OF_REACH, Means
from diagnose.case.events import Answered, Asking, BadFact, Case, Complained, read_person, standing
from rules.rulebase import RuleBase

HARSH = Complained("harsh", "front")


def means(rules: RuleBase, *events: Asking | Answered) -> Means:
    return Means(rules, standing(Case(events=(HARSH, *events))))


def test_where_nobody_said_it_is_the_usual_person(offroad: RuleBase) -> None:
    assert means(offroad).person == offroad.policy.people["workshop"]
    assert means(offroad).does("change-fork-oil")


def test_a_pack_without_people_can_be_asked_anything(mower: RuleBase) -> None:
    anybody = Means(mower, standing(Case(events=(Complained("no-start"),))))
    assert all(anybody.chance(name) == 1 for name in mower.observations)
    assert all(anybody.does(name) for name in mower.corrections)


def test_on_the_trail_forks_stay_shut_and_settings_can_be_turned(offroad: RuleBase) -> None:
    trail = means(offroad, Asking("trail"))
    opens = [name for name, entry in offroad.observations.items() if entry.opens]
    assert opens and all(trail.chance(name) < OUT_OF_REACH for name in opens)
    assert trail.does("bleed-forks")
    assert not trail.does("change-fork-oil")


def test_unknowns_of_one_kind_lower_the_chance_of_the_next(offroad: RuleBase) -> None:
    asked = [n for n, entry in offroad.observations.items() if entry.way == "memory"]
    fresh = means(offroad).chance(asked[3])
    tired = means(offroad, *(Answered(name) for name in asked[:3]))
    helped = means(offroad, *(Answered(name, "yes") for name in asked[:3]))
    assert tired.chance(asked[3]) < 0.6 * fresh < helped.chance(asked[3])
    look = next(n for n, entry in offroad.observations.items() if entry.way == "look")
    assert tired.chance(look) == means(offroad).chance(look)


def test_a_tool_that_is_not_there_is_not_there_for_other_checks(offroad: RuleBase) -> None:
    missing = means(offroad, Answered("front-tyre-gauge", cannot_here=True))
    assert missing.chance("rear-tyre-gauge") < OUT_OF_REACH
    assert means(offroad).chance("rear-tyre-gauge") > 0.9


@pytest.mark.parametrize("person", ["workshop", "home", "trail"])
def test_nobody_is_advised_what_such_a_person_does_not_do(
    offroad_assessor: Assessor, person: str
) -> None:
    case = Case(events=(Asking(person), HARSH, Complained("seal-weep", "front")))
    asked = Means(offroad_assessor.rules, standing(case))
    for _ in range(40):
        step = offroad_assessor.assess(case).step
        if step.kind not in ("ask", "measure", "inspect", "ride-test"):
            break
        assert asked.chance(step.target) >= OUT_OF_REACH or step.constraint == "safety first"
        case = case.with_event(Answered(step.target))
    assert step.kind != "correct" or asked.does(step.target)


def test_an_unknown_kind_of_person_is_refused(offroad: RuleBase) -> None:
    with pytest.raises(BadFact, match="workshop, home, trail"):
        read_person(offroad, "racer")
