"""What the record of a bike says has changed since the last ride that felt right."""

from __future__ import annotations

from datetime import date

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.advice.check_in import check_in
from diagnose.case.events import Answered, Complained
from diagnose.records.bikes.bike import Bike, fold_bike
from diagnose.records.bikes.bike_input import read_ride, read_service, read_setting
from diagnose.records.bikes.bike_journal import BikeEntry, Felt
from diagnose.records.bikes.since_right import changed_since, last_right
from diagnose.records.cases.known import assumptions, starting_case
from rules.rulebase import RuleBase

TODAY = date(2026, 5, 20)


def ride(day: int, note: str = "", felt: Felt | None = None, month: int = 5) -> BikeEntry:
    on = date(2026, month, day)
    return read_ride(Bike(""), "2 h", None, on, new_meter=False, why=note, felt=felt)


def setting(rules: RuleBase, text: str, on: date, *, baseline: bool = False) -> BikeEntry:
    return read_setting(rules, text, on, baseline=baseline)


@pytest.mark.parametrize(
    ("rides", "day"),
    [
        ([], None),
        ([ride(1), ride(10)], 10),
        ([ride(1), ride(20)], 1),  # today's is the bad one
        ([ride(1), ride(20, felt="right")], 20),
        ([ride(1), ride(10, felt="wrong")], 1),
        ([ride(10, felt="wrong")], None),
    ],
)
def test_the_last_ride_that_felt_right(rides: list[BikeEntry], day: int | None) -> None:
    found = last_right(fold_bike("Demo", rides), TODAY)
    assert (found and found.on.day) == day


def test_settings_services_and_falls_since_then_are_answers(offroad: RuleBase) -> None:
    entries = [
        setting(offroad, "fork-compression-clicks=12 clicks", date(2026, 4, 1), baseline=True),
        read_service(offroad, "shock oil", date(2026, 4, 2), ""),
        setting(offroad, "shock-rebound-clicks=9 clicks", date(2026, 4, 3)),
        setting(offroad, "shock-rebound-clicks=11 clicks", date(2026, 4, 4)),
        ride(10, "crashed in a rut"),
        read_service(offroad, "front tyre", date(2026, 5, 12), ""),
        setting(offroad, "fork-compression-clicks=8 clicks", date(2026, 5, 15)),
        ride(18, felt="wrong"),
    ]
    found = {c.observation: c for c in changed_since(offroad, fold_bike("Demo", entries), TODAY)}
    assert set(found) == {
        "changed-crashed",
        "changed-front-tyre-new",
        "changed-front-wheel-out",
        "changed-settings",
    }
    assert found["changed-settings"].what == "Fork compression, 12 clicks to 8 clicks"
    assert found["changed-crashed"].what == "noted: crashed in a rut"
    # a ride after all that felt right: nothing has changed since, save what was noted of it
    later = fold_bike("Demo", [*entries, ride(19)])
    assert changed_since(offroad, later, TODAY) == []


def test_without_a_ride_the_last_weeks_count(offroad: RuleBase) -> None:
    for day, told in ((date(2026, 5, 1), ["changed-suspension-apart"]), (date(2026, 3, 1), [])):
        bike = fold_bike("Demo", [read_service(offroad, "fork oil", day, "")])
        assert [c.observation for c in changed_since(offroad, bike, TODAY)] == told


def test_a_clicker_off_its_baseline_since_then_is_a_fact_with_weight(
    offroad: RuleBase, offroad_assessor: Assessor
) -> None:
    baseline = setting(
        offroad, "fork-compression-clicks=12 clicks", date(2026, 4, 1), baseline=True
    )
    moved = setting(offroad, "fork-compression-clicks=8 clicks", TODAY)
    bike = fold_bike("Demo", [baseline, ride(10), moved])
    taken = assumptions(offroad, bike, TODAY)
    answers = {item.answer.observation: item.answer for item in taken}
    assert str(answers["fork-compression-clicks-noted"].reading) == "12 clicks"
    assert str(answers["fork-compression-clicks"].reading) == "8 clicks"
    case = starting_case(offroad, bike, taken).with_event(Complained("harsh", "front"))
    assessment = offroad_assessor.assess(case)
    weighed = {e.key: e.state for e in assessment.belief.evidence if e.kind == "node"}
    assert weighed["fork-compression-as-noted"] == "differs"
    bare = offroad_assessor.assess(
        starting_case(offroad, bike, []).with_event(Complained("harsh", "front"))
    )
    linked = [link.cause for link in offroad.links if link.node == "fork-compression-as-noted"]
    assert linked
    for cause in linked:
        known, unknown = (a.ranking.find(cause).probability for a in (assessment, bare))
        assert known > 1.5 * unknown, cause
    # ridden and right since it was moved: what it stands at is what it should be
    rode = fold_bike("Demo", [baseline, moved, ride(20, felt="right")])
    held = {i.answer.observation: i.answer for i in assumptions(offroad, rode, TODAY)}
    assert str(held["fork-compression-clicks-noted"].reading) == "8 clicks"
    assert "fork-compression-clicks" not in held


def test_the_check_in_has_them_ticked(offroad: RuleBase, offroad_assessor: Assessor) -> None:
    bike = fold_bike(
        "Demo",
        [ride(10, "crashed on the last lap"), read_service(offroad, "front tyre", TODAY, "")],
    )
    case = starting_case(offroad, bike, assumptions(offroad, bike, TODAY))
    page = check_in(offroad_assessor, case.with_event(Complained("harsh", "front")))
    ticked = {e.observation for e in case.events if isinstance(e, Answered) and e.state == "yes"}
    assert {"changed-crashed", "changed-front-tyre-new"} <= ticked
    assert ticked <= set(page.since)
