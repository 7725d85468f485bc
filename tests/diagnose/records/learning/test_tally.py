"""The kept sum of lessons: never used for other lessons than those in the store."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.case.events import Answered, Case, Complained, Corrected, Rode
from diagnose.findings.concluding import Findings
from diagnose.records.cases import closing
from diagnose.records.cases.case_book import CaseBook, KeptCase
from diagnose.records.cases.closing import close, relearn, reopen, weigh_closing
from diagnose.records.learning import tally
from diagnose.records.learning.learned import learn, learn_in_use
from diagnose.records.learning.lessons import (
    leave_out,
    read_lessons,
    reset_learning,
    switch_learning,
    unreset_learning,
)
from diagnose.records.learning.tally import (
    LESSONS_ADDED_UP,
    Tally,
    add_up,
    keep_tally,
    tally_in_use,
)
from diagnose.records.store.opening import open_store
from diagnose.records.store.place import at_path
from diagnose.records.store.shop_settings import put_in_shop, read_shop
from diagnose.records.store.store import Store
from diagnose.records.store.store_problems import NotFound
from rules.rulebase import RuleBase


@pytest.fixture
def prove(book: CaseBook, mower_assessor: Assessor) -> Callable[[str, str], KeptCase]:
    """`prove(tank, cause)`: a case that closes as proven with this cause."""

    def proven(tank: str, cause: str) -> KeptCase:
        kept = book.begin(Case(events=(Complained("no-start"), Answered("tank-look", tank))))
        for event in (Corrected("fill-up"), Rode("gone")):
            kept = book.record(kept, kept.case.with_event(event))
        return close(book, mower_assessor, kept, weigh_closing(book.rules, kept, cause=cause))

    return proven


Prove = Callable[[str, str], KeptCase]
Adding = list[int]


@pytest.fixture
def additions(monkeypatch: pytest.MonkeyPatch) -> Adding:
    """Grows by the number of lessons whenever lessons are added up."""
    seen: Adding = []

    def counted(lessons: Any) -> Tally:
        found = list(lessons)
        seen.append(len(found))
        return add_up(found)

    monkeypatch.setattr(tally, "add_up", counted)
    return seen


def test_after_closing_nothing_has_to_be_added_up(
    prove: Prove, store: Store, mower: RuleBase, additions: Adding
) -> None:
    for number in range(3):
        prove("stale", "stale-fuel")
        assert additions == list(range(1, number + 2))
    assert learn_in_use(mower, store) == learn(mower, read_lessons(store, "mower"))
    assert additions == [1, 2, 3]


def test_a_closed_case_is_judged_by_what_was_learned_before_it(
    prove: Prove, book: CaseBook, store: Store, mower: RuleBase
) -> None:
    """Neither its own lesson nor a later one counts, however often the lessons are taken anew."""
    first, second, _ = (prove("stale", "stale-fuel") for _ in range(3))
    lessons = read_lessons(store, "mower")
    assert len(lessons) == 3
    assert learn_in_use(mower, store, first.closed_at) == learn(mower, [])
    assert learn_in_use(mower, store, second.closed_at) == learn(mower, lessons[:1])
    relearn(book, Assessor(mower))
    assert learn_in_use(mower, store, second.closed_at) == learn(mower, lessons[:1])
    assert first.closed_at is not None and reopen(book, first).closed_at is None


def test_whatever_happens_to_the_lessons_the_sum_is_that_of_the_store(
    prove: Prove, book: CaseBook, store: Store, mower_assessor: Assessor
) -> None:
    def holds(cases: int) -> None:
        learned = learn_in_use(book.rules, store)
        assert learned == learn(book.rules, read_lessons(store, "mower"))
        assert learned.cases == cases

    first = prove("stale", "stale-fuel")
    prove("empty", "no-fuel")
    holds(2)
    opened = reopen(book, first)
    holds(1)
    close(book, mower_assessor, opened, weigh_closing(book.rules, opened, cause="no-fuel"))
    holds(1)  # stale fuel in the tank says nothing for an empty one: a hunch
    relearn(book, mower_assessor)
    holds(1)
    leave_out(store, "mower", [2], out=True)
    holds(0)
    relearn(book, mower_assessor)
    holds(0)
    leave_out(store, "mower", [2], out=False)
    holds(1)
    with pytest.raises(NotFound, match="no lesson of case 7, 9"):
        leave_out(store, "mower", [9, 2, 7], out=True)
    holds(1)
    assert tally_in_use(store, "another-rule-base") == Tally()


def test_a_reset_counts_only_what_comes_after_and_off_counts_nothing(
    prove: Prove, store: Store
) -> None:
    prove("stale", "stale-fuel")
    reset_learning(store)
    assert tally_in_use(store, "mower") == Tally()
    prove("empty", "no-fuel")
    assert list(tally_in_use(store, "mower").machines) == ["no-fuel"]
    unreset_learning(store)
    assert list(tally_in_use(store, "mower").machines) == ["stale-fuel", "no-fuel"]
    switch_learning(store, False)
    assert tally_in_use(store, "mower") == Tally()


def test_lessons_taken_anew_with_another_content_void_the_sum(
    prove: Prove,
    book: CaseBook,
    store: Store,
    mower_assessor: Assessor,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The case and its moment stay the same; what it taught does not."""
    prove("stale", "stale-fuel")
    before = tally_in_use(store, "mower")
    monkeypatch.setattr(closing, "keep_tally", lambda store, pack: None)
    monkeypatch.setattr(closing, "machine_traits", lambda rules, case: {"engine": "electric"})
    relearn(book, mower_assessor)
    after = tally_in_use(store, "mower")
    assert before.machines["stale-fuel"] == {'{"engine": "petrol", "size": "small"}': 1}
    assert after.machines["stale-fuel"] == {'{"engine": "electric"}': 1}


@pytest.mark.parametrize(
    "kept", ["", "torn {", "[]", '{"mark": 1}', '{"mark": "x", "machines": {}, "states": {}}']
)
def test_a_sum_that_cannot_be_read_is_made_anew(prove: Prove, store: Store, kept: str) -> None:
    prove("stale", "stale-fuel")
    put_in_shop(store, LESSONS_ADDED_UP, kept)
    assert list(tally_in_use(store, "mower").machines) == ["stale-fuel"]


def test_looking_writes_nothing(prove: Prove, store: Store, tmp_path: Path) -> None:
    prove("stale", "stale-fuel")
    put_in_shop(store, LESSONS_ADDED_UP, None)
    before = (tmp_path / "store.sqlite").read_bytes()
    assert tally_in_use(store, "mower") != Tally()
    assert (tmp_path / "store.sqlite").read_bytes() == before
    keep_tally(store, "mower")
    assert LESSONS_ADDED_UP in read_shop(store, (LESSONS_ADDED_UP,))


def test_a_case_reopened_while_lessons_are_taken_anew_teaches_nothing(
    prove: Prove,
    book: CaseBook,
    store: Store,
    mower_assessor: Assessor,
    tmp_path: Path,
    clock: Callable[[], datetime],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    first = prove("stale", "stale-fuel")
    prove("empty", "no-fuel")
    theirs = CaseBook(open_store(at_path(tmp_path / "store.sqlite"), clock), book.rules)
    conclude = mower_assessor.model.findings.conclude
    waiting = [first.id]

    def meanwhile(case: Case, *now: Any) -> Findings:
        if waiting:
            reopen(theirs, theirs.read(waiting.pop()))
            newer = theirs.begin(Case(events=(Complained("no-start"),)))
            for event in (Corrected("new-plug"), Rode("gone")):
                newer = theirs.record(newer, newer.case.with_event(event))
            close(theirs, mower_assessor, newer, weigh_closing(book.rules, newer))
        return conclude(case, *now)

    monkeypatch.setattr(mower_assessor.model.findings, "conclude", meanwhile)
    assert relearn(book, mower_assessor) == 1
    known = read_lessons(store, "mower", every=True)
    assert [(one.cause, one.shown_by) for one in known] == [
        ("no-fuel", ("tank-look",)),
        ("plug-worn", ()),
    ]


def test_a_correction_that_is_gone_from_the_rule_base_can_still_be_learned_from(
    prove: Prove, book: CaseBook, store: Store, mower_assessor: Assessor
) -> None:
    prove("stale", "stale-fuel")
    mower = mower_assessor.rules
    renamed = {
        "fill-up-anew" if key == "fill-up" else key: entry
        for key, entry in mower.corrections.items()
    }
    causes = {
        key: cause.model_copy(update={"correction": "fill-up-anew"})
        if cause.correction == "fill-up"
        else cause
        for key, cause in mower.causes.items()
    }
    newer = dataclasses.replace(mower, corrections=renamed, causes=causes)
    assert relearn(CaseBook(store, newer), Assessor(newer)) == 1
    assert read_lessons(store, "mower")[0].states["tank-look"] == "stale"
