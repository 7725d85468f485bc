"""Timings of a big store: 10,000 cases of 500 bikes. Run by name: pytest tests/bench -n 0."""

from __future__ import annotations

import json
import statistics
import time
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
from sqlalchemy import insert

from diagnose.advice.assessor import Assessor
from diagnose.case.events import Answered, Case, Complained, Corrected, Rode, machine_traits
from diagnose.diagnosis import Diagnosis
from diagnose.records.bikes.bike import Bike
from diagnose.records.bikes.bike_book import BikeBook
from diagnose.records.bikes.bike_input import read_ride, read_service, read_setting
from diagnose.records.bikes.bike_journal import BikeEntry
from diagnose.records.cases.case_book import CaseBook
from diagnose.records.cases.case_lists import (
    CaseFilter,
    list_cases,
    proven_causes,
    similar_cases,
)
from diagnose.records.cases.case_title import case_title
from diagnose.records.cases.folding import entries_between, started
from diagnose.records.cases.keeping import CaseKeeping
from diagnose.records.cases.known import assumptions, starting_case
from diagnose.records.learning.learned import learn, learn_in_use
from diagnose.records.learning.lessons import read_lessons
from diagnose.records.learning.tally import keep_tally
from diagnose.records.store.entry_lines import write_entry
from diagnose.records.store.opening import open_store
from diagnose.records.store.place import at_path
from diagnose.records.store.store import Store
from diagnose.records.store.tables import CASE_ENTRIES, CASES, LESSONS
from diagnose.records.store.times import written
from rules.rulebase import RuleBase, complaint_nodes

CASES_KEPT, BIKES_KEPT = 10_000, 500
START = datetime(2026, 1, 1, tzinfo=UTC)
TODAY = date(2026, 11, 1)


@pytest.fixture(scope="module")
def big(tmp_path_factory: pytest.TempPathFactory, offroad: RuleBase) -> Path:
    path = tmp_path_factory.mktemp("big") / "store.sqlite"
    store = open_store(at_path(path), lambda: START, create=True)
    bikes = BikeBook(store)
    log: list[BikeEntry] = [
        read_service(offroad, "hours-fork-service", date(2026, 9, 1), ""),
        *(
            read_ride(
                Bike(""), "3", None, date(2026, 9, 1) + timedelta(days=n), new_meter=False, why=""
            )
            for n in range(40)
        ),
        *(
            read_setting(
                offroad, f"fork-rebound-clicks={n % 20}", date(2026, 9, 1) + timedelta(days=n)
            )
            for n in range(20)
        ),
    ]
    for number in range(BIKES_KEPT):
        bikes.add(f"Demo {number}", log)
    fill_cases(store, offroad)
    store.close()
    return path


def fill_cases(store: Store, rules: RuleBase) -> None:
    nodes = [n for key, c in rules.complaints.items() for n in complaint_nodes(key, c)]
    causes = list(rules.causes)
    asked = [key for key, o in rules.observations.items() if o.kind != "measurement"][:18]
    heads, entries, lessons = [], [], []
    for number in range(1, CASES_KEPT + 1):
        name, _, place = nodes[number % len(nodes)].partition("/")
        cause = causes[number % len(causes)]
        correction = rules.causes[cause].correction
        answers = [Answered(key, rules.observations[key].normal) for key in asked]
        case = Case(
            {}, {}, (Complained(name, place or None), *answers, Corrected(correction), Rode("gone"))
        )
        at = written(START + timedelta(minutes=30 * number))
        journal = [started(Case(), "offroad", "1"), *entries_between(Case(), case)]
        entries += [
            {"case_id": number, "seq": seq, "at": at, "kind": e.kind, "body": write_entry(e)}
            for seq, e in enumerate(journal, 1)
        ]
        title = case_title(rules, case)
        search = f"{title} | demo {number % BIKES_KEPT} | {rules.causes[cause].title} | {' | '.join(asked)}"
        heads.append(
            {
                "id": number,
                "bike_id": number % BIKES_KEPT + 1,
                "title": title,
                "complaints": nodes[number % len(nodes)],
                "search": search.casefold(),
                "state": "open",
                "outcome": "proven",
                "cause": cause,
                "correction": correction,
                "pack": "offroad",
                "opened_at": at,
                "changed_at": at,
            }
        )
        states = {key: rules.observations[key].normal for key in asked}
        lessons.append(
            {
                "case_id": number,
                "pack": "offroad",
                "cause": cause,
                "traits": json.dumps(machine_traits(rules, case)),
                "states": json.dumps(dict(states, which=f"{number % 97}")),
                "chances": json.dumps(dict.fromkeys(causes, 1 / 147)),
                "at": at,
                "shown_by": asked[0],
            }
        )
    with store.writing() as connection:
        connection.execute(insert(CASES), heads)
        connection.execute(insert(CASE_ENTRIES), entries)
        connection.execute(insert(LESSONS), lessons)


def timed(
    capsys: pytest.CaptureFixture[str], name: str, work: Callable[[], object], rounds: int = 15
) -> None:
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    with capsys.disabled():
        print(
            f"\n{name}: median {statistics.median(times) * 1e3:.0f} ms, worst {max(times) * 1e3:.0f} ms"
        )


def test_lists_searches_and_starts(
    big: Path, offroad: RuleBase, offroad_assessor: Assessor, capsys: pytest.CaptureFixture[str]
) -> None:
    def fresh() -> Store:
        return open_store(at_path(big), lambda: datetime.now(UTC))

    store = fresh()
    book = CaseBook(store, offroad)
    timed(capsys, "open the store", lambda: fresh().close())
    timed(capsys, "list the latest 20 cases", lambda: list_cases(store, CaseFilter()))
    timed(
        capsys, "list the cases of one bike", lambda: list_cases(store, CaseFilter(bike="Demo 7"))
    )
    timed(
        capsys, "search two words", lambda: list_cases(store, CaseFilter(text="pressure demo 77"))
    )
    timed(
        capsys, "search a word nobody wrote", lambda: list_cases(store, CaseFilter(text="zanzibar"))
    )
    timed(capsys, "list 500 bikes", lambda: BikeBook(store).rows())
    timed(
        capsys,
        "similar cases",
        lambda: (similar_cases(store, ["harsh"]), proven_causes(store, ["harsh"])),
    )
    timed(capsys, "read one case", lambda: book.read(5000))
    learned = learn_in_use(offroad, store)
    assert learned == learn(offroad, read_lessons(store, "offroad"))
    timed(capsys, "learn from 10,000 cases, not added up", lambda: learn_in_use(offroad, store))
    timed(capsys, "add 10,000 cases up (when one closes)", lambda: keep_tally(store, "offroad"), 5)
    assert learn_in_use(offroad, store) == learned
    timed(capsys, "learn from 10,000 cases added up", lambda: learn_in_use(offroad, store))

    def start(shop: Assessor) -> None:
        own = fresh()
        bike = BikeBook(own).read("Demo 7")
        list_cases(own, CaseFilter(bike="Demo 7", limit=3))
        known = assumptions(offroad, bike, TODAY)
        keeping = CaseKeeping(
            CaseBook(own, offroad),
            starting_case(offroad, bike, known),
            bike=bike.name,
            assumed=[k.assumed for k in known],
        )
        diagnosis = Diagnosis(shop, keeping=keeping)
        diagnosis.add(Complained("harsh", "front"))
        diagnosis.commit()
        assert diagnosis.assessment.step.kind
        own.close()

    timed(capsys, "start of a case on a kept bike", lambda: start(offroad_assessor))

    def learned_start() -> None:
        own = fresh()
        learn_in_use(offroad, own)
        own.close()
        start(offroad_assessor)

    timed(capsys, "the same with learning from 10,000 cases", learned_start)
    timed(
        capsys,
        "keep one answer",
        lambda: book.record(book.read(1), book.read(1).case.with_event(Rode("gone"))),
    )
    with capsys.disabled():
        print(f"store: {big.stat().st_size / 2**20:.0f} MiB")
