"""What stands on the page before the first step."""

from __future__ import annotations

from collections import Counter

from diagnose.advice.assessor import Assessor
from diagnose.advice.check_in import MOST_MINUTES, MOST_READINGS, MOST_SINCE, check_in
from diagnose.case.events import Answered, Case, Complained
from diagnose.words.check_in_words import cut_down, should_be, tick_text
from rules.rulebase import RuleBase
from rules.units.quantities import parse_quantity

HARSH = Complained("harsh", "rear")


def test_the_page_has_what_may_still_matter_worth_first(offroad_assessor: Assessor) -> None:
    rules = offroad_assessor.rules
    made = offroad_assessor.assess(Case(events=(HARSH,)))
    page = check_in(offroad_assessor, Case(events=(HARSH,)))
    net: dict[str, float] = {}
    for option in made.options:
        net[option.observation] = max(option.net, net.get(option.observation, option.net))
    assert "rear-tyre-gauge" in page.readings
    for names in (page.since, page.shows):
        assert names
        worth = [net[name] for name in names]
        assert worth == sorted(worth, reverse=True)
    assert len(page.since) <= MOST_SINCE and len(page.readings) == MOST_READINGS
    assert all(rules.observations[name].kind == "history" for name in page.since)
    assert all(rules.observations[name].phase for name in page.shows)
    readings = [rules.observations[name] for name in page.readings]
    assert all(entry.kind == "measurement" and not entry.opens for entry in readings)


def test_readings_are_those_taken_in_a_minute_or_two(offroad_assessor: Assessor) -> None:
    """A leak at the fork may come of a bent axle; its run-out is a step of its own, not one of the
    first page."""
    rules = offroad_assessor.rules
    offered: set[str] = set()
    for complaint, entry in rules.complaints.items():
        for end in entry.places or [None]:
            page = check_in(offroad_assessor, Case(events=(Complained(complaint, end),)))
            assert page.readings
            offered.update(page.readings)
    assert max(rules.observations[name].minutes for name in offered) <= MOST_MINUTES
    assert not any("dial gauge" in rules.observations[name].tools for name in offered)
    assert {"front-tyre-gauge", "rear-tyre-gauge", "fork-compression-clicks"} <= offered


def test_what_was_said_comes_first_and_a_reading_given_stays_where_it_was(
    offroad_assessor: Assessor,
) -> None:
    rules = offroad_assessor.rules
    before = check_in(offroad_assessor, Case(events=(HARSH,)))
    last, reading = before.since[-1], before.readings[0]
    unit = rules.observations[reading].unit
    assert unit is not None
    said = (
        Answered(last, "yes"),
        Answered(before.shows[-1], "no"),
        Answered(reading, reading=parse_quantity("20", unit)),
    )
    after = check_in(offroad_assessor, Case(events=(HARSH, *said)))
    assert after.since[0] == last
    assert after.shows[0] == before.shows[-1]
    read = check_in(offroad_assessor, Case(events=(HARSH, said[-1])))
    assert read.readings == before.readings


def test_a_reading_stands_at_the_same_place_for_most_complaints(
    offroad_assessor: Assessor,
) -> None:
    """A place of its own for each would need as many places as readings; those that a page nearly
    always has keep theirs."""
    places: dict[str, Counter[int]] = {}
    for complaint, entry in offroad_assessor.rules.complaints.items():
        for end in entry.places or [None]:
            page = check_in(offroad_assessor, Case(events=(Complained(complaint, end),)))
            assert len(set(page.readings)) == len(page.readings)
            for place, name in enumerate(page.readings):
                places.setdefault(name, Counter())[place] += 1
    usual = sum(max(found.values()) for found in places.values())
    assert usual / sum(found.total() for found in places.values()) > 0.7


def test_the_page_holds_no_more_than_a_screen_however_much_is_complained_of(
    offroad_assessor: Assessor,
) -> None:
    page = check_in(offroad_assessor, Case(events=(HARSH, Complained("harsh", "front"))))
    assert (len(page.since), len(page.shows), len(page.readings)) == (5, 7, 4)


def test_without_a_complaint_the_page_is_empty(mower_assessor: Assessor) -> None:
    assert check_in(mower_assessor, Case()).is_empty


def test_questions_are_cut_down_to_what_is_ticked(offroad: RuleBase, mower: RuleBase) -> None:
    assert tick_text(offroad, "changed-rear-wheel-out") == "rear wheel out"
    assert tick_text(offroad, "shows-rocks-roots") == "rocks and roots"
    assert cut_down(offroad, "shows-rocks-roots") == "on rocks and roots"
    assert cut_down(offroad, "weep-follows-mud") == offroad.observations["weep-follows-mud"].ask
    assert tick_text(mower, "stood-all-winter") == "stand all winter with fuel in it"


def test_a_target_says_whose_figure_it_is(offroad: RuleBase) -> None:
    assert should_be(offroad, Case(), "rear-tyre-gauge").endswith("rule of thumb")
    given = Case(targets={"rear-tyre-pressure": parse_quantity("13 psi", "psi")})
    assert should_be(offroad, given, "rear-tyre-gauge") == "13 psi as given"
    assert should_be(offroad, Case(), "air-temperature") == ""
