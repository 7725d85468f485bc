"""No id in what the line interview and the command line say of a case and a bike."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.case.events import Corrected, Rode, read_answer
from diagnose.case.files import load_worked_cases
from diagnose.diagnosis import Diagnosis
from diagnose.records.bikes.against_baseline import differences
from diagnose.records.bikes.before_ride import before_ride, list_source
from diagnose.records.bikes.bike import Bike
from diagnose.records.bikes.bike_book import BikeBook
from diagnose.records.bikes.bike_input import read_setting
from diagnose.records.bikes.bike_journal import FactsEntry, RideEntry, ServiceEntry
from diagnose.records.bikes.service import clock_states, clocks
from diagnose.records.cases.case_book import CaseBook
from diagnose.records.cases.case_lists import CaseFilter, list_cases
from diagnose.records.cases.entries import Assumed
from diagnose.records.store.opening import open_memory
from rules.loading.pack_files import OFFROAD, WORKED_CASES
from rules.rulebase import RuleBase
from tests.known_ids import ids_in
from tui.bikes.bike_lines import bike_lines, check_lines, difference_lines, due_lines
from tui.cases.case_lines import case_lines, compare_lines, row_lines
from tui.cli.cases.kept_interview import resumed_lines
from tui.plain.lines import next_step_lines, summary_lines, why_lines
from tui.plain.plain_interview import PlainInterview

NOON = datetime(2026, 5, 1, 12, tzinfo=UTC)
TODAY = NOON.date()

_SETTINGS = ("front-tyre-gauge=13 psi", "fork-rebound-clicks=12 clicks")
_LATER = ("front-tyre-gauge=16 psi", "fork-rebound-clicks=14 clicks")


def told(lines: Iterator[str]) -> str:
    """Broken lines as one text: a line may end at the hyphen of an id."""
    return " ".join(lines)


def test_summaries_and_reasons_have_no_ids(offroad_assessor: Assessor) -> None:
    rules = offroad_assessor.rules
    texts = []
    for worked in load_worked_cases(rules, OFFROAD / WORKED_CASES)[::10]:
        case = worked.case
        for name in offroad_assessor.assess(case).plan.corrections[:1]:
            case = case.with_event(Corrected(name)).with_event(Rode("better"))
        made = offroad_assessor.assess(case)
        texts += [
            told(say(rules, case, made)) for say in (summary_lines, next_step_lines, why_lines)
        ]
    assert len(texts) > 40
    assert ids_in(rules, texts) == {}


@pytest.mark.parametrize("word", ["perhaps", "dont", "ja"])
def test_what_is_no_answer_is_told_by_the_labels(offroad_assessor: Assessor, word: str) -> None:
    """Of the first question that has answers to pick from; the way out is `q`."""
    said: list[str] = []
    words = iter(["harsh", "1", "1", "?", word, "q"])  # the gauge is asked for first
    PlainInterview(Diagnosis(offroad_assessor), lambda _: next(words), said.append).run()
    text = " ".join(said)
    assert f"{word!r} does nothing here. Here: " in text
    assert "? Don't know" in text.split("does nothing here. Here: ")[1]
    assert "dont-know" not in text and ids_in(offroad_assessor.rules, [text]) == {}


def test_the_list_has_no_ids(offroad_assessor: Assessor) -> None:
    """Nor what is said of one of its lines, and of what is no answer to it."""
    said: list[str] = []
    words = iter(["harsh", "1", "1", "s", "s", *(f"{n} zz" for n in range(1, 9)), "", "q"])
    PlainInterview(Diagnosis(offroad_assessor), lambda _: next(words), said.append).run()
    text = " ".join(said)
    assert "SETTLES:" in text and text.count("does nothing here") > 3
    assert ids_in(offroad_assessor.rules, [text]) == {}


def bike_of(rules: RuleBase, book: BikeBook) -> Bike:
    """One with a service of every clock, one ride a week, and settings written down twice."""
    log = [ServiceEntry(clock=clock, on=date(2026, 1, 1)) for clock in clocks(rules)]
    rides = [RideEntry(on=TODAY - timedelta(weeks=n), hours=3) for n in range(12, 0, -1)]
    settings = [
        read_setting(rules, text, on, baseline=first, why="")
        for on, first, texts in ((date(2026, 4, 1), True, _SETTINGS), (TODAY, False, _LATER))
        for text in texts
    ]
    return book.add("Demo", [FactsEntry(), *log, *rides, *settings])


def test_a_bike_is_told_without_ids(offroad: RuleBase) -> None:
    """What ticks off a check is the one id there is, since `badride bike set` takes it."""
    store = open_memory(lambda: NOON)
    bike = bike_of(offroad, BikeBook(store))
    states = clock_states(offroad, bike, TODAY)
    checks = before_ride(offroad, bike, TODAY)
    texts = [
        told(bike_lines(offroad, bike, TODAY, log=True)),
        told(due_lines(offroad, bike, states, TODAY)),
        told(difference_lines(offroad, differences(offroad, bike), every=True)),
    ]
    listed = told(check_lines(offroad, checks, list_source(offroad), states))
    named = {check.note for check in checks}
    assert len(states) >= 5 and "Service: " in texts[0] and "Fork rebound: 14 clicks" in texts[0]
    assert ids_in(offroad, texts) == {}
    assert set(ids_in(offroad, [listed])) <= named


def test_kept_cases_are_told_without_ids(offroad_assessor: Assessor) -> None:
    """With what was taken from the record and not asked."""
    rules = offroad_assessor.rules
    store = open_memory(lambda: NOON)
    BikeBook(store).add("Demo", [FactsEntry()])
    book = CaseBook(store, rules)
    case = load_worked_cases(rules, OFFROAD / WORKED_CASES)[0].case
    case = case.with_event(read_answer(rules, "front-tyre-gauge", "25 psi"))
    assumed = [Assumed(rests_on="setting of 2026-04-30", on="2026-04-30")] * len(case.events)
    kept = book.begin(case, "Demo", [None, *assumed[1:]])
    again = book.begin(case, "Demo")
    rows = list_cases(store, CaseFilter())
    texts = [
        told(resumed_lines(rules, kept)),
        told(case_lines(rules, kept, offroad_assessor.assess(case), journal=False)),
        told(row_lines(rules, rows)),
        told(compare_lines(rules, kept, rows.rows, rows.rows, [("front-tyre-pressure-high", 2)])),
    ]
    assert again.id != kept.id and "Assumed: " in texts[0]
    assert ids_in(rules, texts) == {}
