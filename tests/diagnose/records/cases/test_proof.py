"""What closes as proven, and what does not."""

from __future__ import annotations

from datetime import date

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.case.events import Answered, Case, Complained, Corrected, Declined, Event, Noted, Rode
from diagnose.diagnosis import Diagnosis
from diagnose.records.bikes.bike_book import BikeBook
from diagnose.records.bikes.bike_input import read_setting
from diagnose.records.cases.case_book import CaseBook, KeptCase
from diagnose.records.cases.closing import (
    changed_besides,
    close,
    relearn,
    reopen,
    weigh_closing,
)
from diagnose.records.cases.keeping import CaseKeeping
from diagnose.records.cases.proof import helped, judge
from diagnose.records.learning.lessons import read_lessons
from diagnose.records.store.store import Store
from diagnose.records.store.store_problems import StoreProblem
from diagnose.words.case_words import closed_text
from rules.problems import BadInput
from rules.rulebase import RuleBase

FIX, OTHER = Corrected("fill-up"), Corrected("new-plug")
GONE, BETTER, SAME, WORSE = Rode("gone"), Rode("better"), Rode("same"), Rode("worse")


@pytest.mark.parametrize(
    ("events", "outcome", "correction"),
    [
        ((), "left-as-it-is", None),
        ((FIX,), "not-proven", "fill-up"),
        ((GONE,), "left-as-it-is", None),
        ((FIX, GONE), "proven", "fill-up"),
        ((FIX, BETTER), "improved", "fill-up"),
        ((FIX, SAME), "not-proven", "fill-up"),
        ((FIX, WORSE), "not-proven", "fill-up"),
        ((FIX, OTHER, GONE), "not-separable", None),
        ((FIX, OTHER, BETTER), "not-separable", None),
        ((FIX, OTHER, SAME), "not-proven", "new-plug"),
        ((FIX, SAME, OTHER, GONE), "proven", "new-plug"),
        ((FIX, BETTER, OTHER, GONE), "proven", "new-plug"),
        ((FIX, GONE, OTHER), "not-proven", "new-plug"),
        ((FIX, BETTER, GONE), "proven", "fill-up"),
        ((FIX, GONE, GONE), "proven", "fill-up"),
        ((FIX, GONE, SAME), "not-proven", "fill-up"),
        ((FIX, SAME, GONE), "not-proven", "fill-up"),
    ],
)
def test_only_one_change_and_a_ride_prove(
    mower: RuleBase, events: tuple[Event, ...], outcome: str, correction: str | None
) -> None:
    verdict = judge(mower, Case(events=(Complained("no-start"), *events)))
    assert (verdict.outcome, verdict.correction) == (outcome, correction)
    assert verdict.why


def test_what_helped_on_the_way_is_named_with_its_ride_and_shares_the_credit(
    mower: RuleBase,
) -> None:
    case = Case(events=(Complained("no-start"), FIX, BETTER, OTHER, GONE))
    verdict = judge(mower, case)
    assert verdict.why == (
        "2 things were put right, one after the other (1 Fill with fresh fuel, and the ride after "
        "it: better; 2 Fit a new plug, and the ride after it: gone). "
        "The credit is shared between them."
    )
    assert helped(mower, case) == {"fill-up": "better", "new-plug": "gone"}
    did_not = Case(events=(Complained("no-start"), FIX, SAME, OTHER, GONE))
    assert judge(mower, did_not).why.startswith("Fit a new plug, and")
    assert helped(mower, did_not) == {"new-plug": "gone"}


def test_something_changed_besides_is_not_separable_and_handing_over_is_its_own_end(
    mower: RuleBase,
) -> None:
    case = Case(events=(Complained("no-start"), FIX, GONE))
    verdict = judge(mower, case, ["lever-clicks"])
    assert verdict.outcome == "not-separable"
    assert "lever-clicks" in verdict.why
    assert judge(mower, case, handed_over=True).outcome == "handed-over"


def test_a_bike_left_as_it_is_is_an_end_of_its_own_that_names_what_was_declined(
    mower: RuleBase,
) -> None:
    told = Complained("no-start")
    assert judge(mower, Case(events=(told,))).why == "Nothing was put right."
    verdict = judge(mower, Case(events=(told, Declined("fill-up"))))
    assert (verdict.outcome, verdict.correction) == ("left-as-it-is", None)
    assert verdict.why == "Nothing was put right. Declined: Fill with fresh fuel."
    assert judge(mower, Case(events=(told, Declined("new-plug"), FIX))).outcome == "not-proven"


def kept_case(book: CaseBook, *events: Event, bike: str | None = None) -> KeptCase:
    kept = book.begin(Case(events=(Complained("no-start"),)), bike)
    for event in events:
        kept = book.record(kept, kept.case.with_event(event))
    return kept


def test_a_proven_case_leaves_a_lesson_of_what_was_seen_before(
    book: CaseBook, store: Store, mower_assessor: Assessor
) -> None:
    keeping = CaseKeeping(book)
    diagnosis = Diagnosis(mower_assessor, keeping=keeping)
    for event in (
        Complained("no-start"),
        Answered("tank-look", "stale"),
        FIX,
        GONE,
        Answered("spark-seen", "sparks"),
    ):
        diagnosis.add(event)
        diagnosis.commit()
    assert keeping.kept is not None
    closing = weigh_closing(mower_assessor.rules, keeping.kept)
    assert (closing.cause, closing.candidates) == ("stale-fuel", ("no-fuel", "stale-fuel"))
    closed = close(book, mower_assessor, keeping.kept, closing)
    (lesson,) = read_lessons(store, "mower")
    assert lesson.cause == "stale-fuel"
    assert lesson.states["tank-look"] == "stale"
    assert "spark-seen" not in lesson.states
    assert lesson.traits == {"engine": "petrol", "size": "small"}
    assert lesson.chances["stale-fuel"] == pytest.approx(0.937, abs=0.01)
    with pytest.raises(StoreProblem, match="closed already"):
        close(book, mower_assessor, closed, closing)
    assert relearn(book, mower_assessor) == 1
    assert read_lessons(store, "mower") == [lesson]
    reopen(book, closed)
    assert read_lessons(store, "mower") == []
    with pytest.raises(StoreProblem, match="is open"):
        reopen(book, book.read(1))


@pytest.mark.parametrize("handed_over", [False, True])
@pytest.mark.parametrize(
    "events",
    [(OTHER,), (OTHER, SAME), (OTHER, BETTER), (FIX, OTHER, GONE), (OTHER, GONE, SAME), ()],
)
def test_nothing_is_learned_from_what_is_not_proven(
    book: CaseBook,
    store: Store,
    mower_assessor: Assessor,
    events: tuple[Event, ...],
    handed_over: bool,
) -> None:
    """Not even where the cause is plain: what was put right last has only one cause."""
    kept = kept_case(book, *events)
    closing = weigh_closing(mower_assessor.rules, kept, handed_over=handed_over)
    assert closing.verdict.outcome != "proven"
    closed = close(book, mower_assessor, kept, closing)
    assert read_lessons(store, "mower") == []
    assert relearn(book, mower_assessor) == 0
    assert closed.folded.closed is not None


def test_the_same_is_learned_from_once_it_is_proven(
    book: CaseBook, store: Store, mower_assessor: Assessor
) -> None:
    kept = kept_case(book, OTHER, BETTER)
    closed = close(book, mower_assessor, kept, weigh_closing(mower_assessor.rules, kept))
    assert closed.folded.closed is not None
    assert (closed.folded.closed.outcome, closed.folded.closed.cause) == ("improved", "plug-worn")
    opened = reopen(book, closed)
    gone = book.record(opened, opened.case.with_event(GONE))
    close(book, mower_assessor, gone, weigh_closing(mower_assessor.rules, gone))
    assert [lesson.cause for lesson in read_lessons(store, "mower", every=True)] == ["plug-worn"]


def test_a_cause_that_cannot_be_told_is_not_guessed(
    book: CaseBook, store: Store, mower_assessor: Assessor
) -> None:
    kept = kept_case(book, FIX, GONE)
    closing = weigh_closing(mower_assessor.rules, kept)
    assert closing.cause is None
    close(book, mower_assessor, kept, closing)
    assert read_lessons(store, "mower") == []


def test_a_named_cause_must_be_one_that_the_correction_puts_right(
    book: CaseBook, mower: RuleBase
) -> None:
    kept = kept_case(book, FIX, GONE)
    assert weigh_closing(mower, kept, cause="no-fuel").cause == "no-fuel"
    with pytest.raises(BadInput, match="one of no-fuel, stale-fuel"):
        weigh_closing(mower, kept, cause="plug-worn")
    with pytest.raises(BadInput, match="no cause to name"):
        weigh_closing(mower, kept_case(book, FIX, SAME), cause="no-fuel")


def test_with_two_causes_only_that_the_proven_one_was_there_is_learned(
    book: CaseBook, store: Store, mower_assessor: Assessor
) -> None:
    kept = kept_case(book, Answered("tank-look", "stale"), FIX, BETTER, OTHER, GONE)
    closing = weigh_closing(mower_assessor.rules, kept)
    close(book, mower_assessor, kept, closing)
    (lesson,) = read_lessons(store, "mower", every=True)
    assert (lesson.cause, lesson.states) == ("plug-worn", {})


def test_a_setting_turned_between_the_rides_spoils_the_proof(
    book: CaseBook, bikes: BikeBook, clock_pack: RuleBase, store: Store
) -> None:
    day = date(2026, 5, 1)
    bikes.add(
        "Demo",
        [
            read_setting(clock_pack, "lever-clicks=4", day),
            read_setting(clock_pack, "plug-gap-reading=0.7 mm", day),
        ],
    )
    own = CaseBook(store, clock_pack)
    kept = kept_case(own, OTHER, bike="Demo")
    # reading the same again is no change, and what belongs to the correction is part of it
    bikes.append(
        "Demo",
        [
            read_setting(clock_pack, "lever-clicks=4", day),
            read_setting(clock_pack, "plug-gap-reading=0.6 mm", day),
        ],
    )
    ridden = own.record(kept, kept.case.with_event(GONE))
    assert changed_besides(clock_pack, ridden, bikes.read("Demo")) == []
    assert weigh_closing(clock_pack, ridden, bike=bikes.read("Demo")).verdict.outcome == "proven"
    bikes.append("Demo", [read_setting(clock_pack, "lever-clicks=6", day)])
    later = own.record(ridden, ridden.case.with_event(Noted("and again")))
    assert changed_besides(clock_pack, later, bikes.read("Demo")) == []
    again = own.record(later, later.case.with_event(OTHER).with_event(GONE))
    closing = weigh_closing(clock_pack, again, bike=bikes.read("Demo"))
    assert closing.verdict.outcome == "not-separable"
    assert "(besides the correction: lever, clicks out from closed)" in closing.verdict.why


DECK = Complained("vibration", "deck")


@pytest.mark.parametrize(
    ("events", "outcome", "correction"),
    [
        ((FIX, Rode("gone", "no-start")), "not-proven", "fill-up"),
        ((FIX, Rode("gone", "no-start"), Rode("gone", "vibration/deck")), "proven", "fill-up"),
        ((FIX, Rode("gone", "no-start"), Rode("same", "vibration/deck")), "improved", "fill-up"),
        ((FIX, Rode("same", "no-start"), Rode("same", "vibration/deck")), "not-proven", "fill-up"),
        (
            (
                FIX,
                Rode("gone", "no-start"),
                Rode("same", "vibration/deck"),
                Corrected("new-blade"),
                Rode("gone", "vibration/deck"),
            ),
            "proven",
            "fill-up",
        ),
    ],
)
def test_every_complaint_is_proven_by_itself(
    mower: RuleBase, events: tuple[Event, ...], outcome: str, correction: str
) -> None:
    verdict = judge(mower, Case(events=(Complained("no-start"), DECK, *events)))
    assert (verdict.outcome, verdict.correction) == (outcome, correction)


def test_each_complaint_has_the_correction_that_cured_it(
    book: CaseBook, mower_assessor: Assessor
) -> None:
    blade = Corrected("new-blade")
    about = (Rode("gone", "no-start"), Rode("same", DECK.key), blade, Rode("gone", DECK.key))
    kept = kept_case(book, DECK, OTHER, *about)
    closing = weigh_closing(mower_assessor.rules, kept)
    assert closing.verdict.proven == ("new-plug", "new-blade")
    assert "Will not start: fit a new plug, and" in closing.verdict.why
    assert "Shakes (deck): fit a new blade, and" in closing.verdict.why
    closed = close(book, mower_assessor, kept, closing).folded.closed
    assert closed is not None
    assert [closed.cause, *(one.cause for one in closed.also)] == ["plug-worn", "blade-bent"]
    text = "\n".join(closed_text(mower_assessor.rules, book.read(1)))
    assert "Cause: Plug worn." in text
    assert "And: Blade bent or loose." in text


def test_the_cause_is_the_one_that_was_likeliest_before_its_own_correction(
    book: CaseBook, mower_assessor: Assessor
) -> None:
    """The forecast before the first correction knew nothing of the stale fuel yet."""
    keeping = CaseKeeping(book)
    diagnosis = Diagnosis(mower_assessor, keeping=keeping)
    stale = Answered("tank-look", "stale")
    for event in (Complained("no-start"), OTHER, SAME, stale, FIX, GONE):
        diagnosis.add(event)
        diagnosis.commit()
    assert keeping.kept is not None
    assert weigh_closing(mower_assessor.rules, keeping.kept).cause == "stale-fuel"


def test_what_cannot_bear_on_the_complaint_does_not_spoil_its_proof(mower: RuleBase) -> None:
    """A new blade says nothing about an engine that would not start."""
    told = (Complained("no-start"), FIX, Corrected("new-blade"), GONE)
    assert judge(mower, Case(events=told)).outcome == "proven"
    assert judge(mower, Case(events=told)).correction == "fill-up"


def test_settings_put_right_together_are_proven_together(offroad: RuleBase) -> None:
    settings = (Corrected("set-front-tyre-pressure"), Corrected("bleed-forks"))
    case = Case(events=(Complained("harsh", "front"), *settings, GONE))
    verdict = judge(offroad, case)
    assert (verdict.outcome, verdict.correction) == ("proven-together", None)
    assert judge(offroad, case.without_last().with_event(BETTER)).outcome == "not-separable"
    work = Case(
        events=(Complained("harsh", "front"), settings[0], Corrected("change-fork-oil"), GONE)
    )
    assert judge(offroad, work).outcome == "not-separable"
