"""Entries as JSON, journals as cases, changes as entries."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.case.events import (
    Answered,
    Asking,
    Case,
    Complained,
    Corrected,
    Declined,
    Event,
    Insisted,
    Noted,
    Rode,
    Told,
)
from diagnose.records.cases.entries import AnswerChanged, CaseEntry, Forecast, Struck, TakenBack
from diagnose.records.cases.folding import entries_between, fold, started
from diagnose.records.cases.journal import event_entry, event_of, read_entry
from diagnose.records.store.entry_lines import write_entry
from diagnose.records.store.store_problems import DamagedStore, NewerStore
from rules.units.quantities import Quantity

NOON = datetime(2026, 5, 1, 12, tzinfo=UTC)
words = st.text(max_size=12)
events: st.SearchStrategy[Event] = st.one_of(
    st.builds(Complained, words, st.none() | words),
    st.builds(Answered, words, words),
    st.builds(
        Answered,
        words,
        reading=st.builds(Quantity, st.floats(-1e6, 1e6), st.sampled_from(["psi", "mm", "", "°C"])),
    ),
    st.builds(Answered, words, cannot_here=st.booleans()),
    st.builds(Corrected, words),
    st.builds(Declined, words),
    st.builds(Rode, st.sampled_from(["gone", "better", "same", "worse"])),
    st.builds(Insisted, words),
    st.builds(Noted, words),
    st.builds(Told, words),
    st.builds(Asking, words),
)
cases = st.builds(
    Case,
    st.dictionaries(words, words, max_size=3),
    st.dictionaries(words, st.builds(Quantity, st.floats(0, 99), st.just("psi")), max_size=2),
    st.lists(events, max_size=8).map(tuple),
)


def folded(entries: list[CaseEntry]) -> Case:
    return fold([(read_entry(write_entry(e), "here"), NOON) for e in entries], 1).case


@given(events)
def test_every_event_comes_back_from_json_as_it_was(event: Event) -> None:
    entry = read_entry(write_entry(event_entry(event)), "here")
    assert event_of(entry) == event  # type: ignore[arg-type]


def test_every_kind_of_event_can_be_kept() -> None:
    """A kind that somebody adds to a case needs an entry of its own."""
    kept = {
        type(event_of(event_entry(e)))
        for e in (
            Complained("a"),
            Answered("a"),
            Corrected("a"),
            Declined("a"),
            Rode("gone"),
            Insisted("a"),
            Told("b"),
            Asking("a"),
            Noted("a"),
        )
    }
    assert kept == set(get_args(Event))


@given(cases, cases)
def test_the_entries_between_two_cases_lead_from_one_to_the_other(old: Case, new: Case) -> None:
    journal = [started(Case(), "pack", "1"), *entries_between(Case(), old)]
    assert folded(journal) == old
    assert folded([*journal, *entries_between(old, new)]) == new


@given(st.lists(events, min_size=2, max_size=8, unique=True), st.data())
def test_a_change_in_the_middle_keeps_what_came_after(
    given_events: list[Event], data: st.DataObject
) -> None:
    old = Case(events=tuple(given_events))
    index = data.draw(st.integers(0, len(given_events) - 2))
    swapped = Case(events=(*old.events[:index], Noted("other"), *old.events[index + 1 :]))
    assert [type(e) for e in entries_between(old, swapped)] == [AnswerChanged]
    gone = Case(events=old.events[:index] + old.events[index + 1 :])
    assert [type(e) for e in entries_between(old, gone)] == [Struck]


def test_taking_back_is_an_entry_of_its_own() -> None:
    old = Case(events=(Noted("a"), Noted("b"), Noted("c")))
    assert list(entries_between(old, Case(events=old.events[:1]))) == [TakenBack(count=2)]


def test_the_first_forecast_is_the_one_before_the_first_correction_that_stands() -> None:
    early, late = Forecast(chances={"a": 0.9}), Forecast(chances={"a": 0.2})
    start = started(Case(), "pack", "1")
    fix, look = event_entry(Corrected("fix")), event_entry(Answered("look", "seen"))
    kept = [(e, NOON) for e in (start, early, fix, look, late, fix)]
    assert fold(kept, 1).first_forecast == early
    undone = [(e, NOON) for e in (start, early, fix, TakenBack(), look, late, fix)]
    assert fold(undone, 1).first_forecast == late
    never = [(e, NOON) for e in (start, early, fix, TakenBack())]
    assert fold(never, 1).first_forecast is None


@pytest.mark.parametrize(
    ("text", "kind", "message"),
    [
        (
            '{"format": 1, "kind": "x-rayed"}',
            NewerStore,
            "kind 'x-rayed', which this badride does not know",
        ),
        ('{"format": 2, "kind": "noted", "text": "a"}', NewerStore, "newer badride (format 2"),
        ('{"format": 1, "kind": "noted"}', DamagedStore, "entry 3 of case 7"),
        ('{"format": 1, "kind": "noted", "text": "a", "extra": 1}', DamagedStore, "extra"),
        ('{"format": 1, "kind": "no', DamagedStore, "cannot be read"),
        ("[]", DamagedStore, "cannot be read"),
        ("", DamagedStore, "cannot be read"),
    ],
)
def test_what_is_no_entry_is_refused_in_words(
    text: str, kind: type[Exception], message: str
) -> None:
    with pytest.raises(kind) as caught:
        read_entry(text, "entry 3 of case 7")
    assert message in str(caught.value)
    assert "entry 3 of case 7" in str(caught.value)


def test_a_journal_that_points_at_nothing_is_damaged() -> None:
    with pytest.raises(DamagedStore, match="entry 2 of case 9"):
        fold([(started(Case(), "p", "1"), NOON), (TakenBack(count=3), NOON)], 9)
