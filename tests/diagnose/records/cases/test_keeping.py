"""Diagnoses that are kept in the store."""

from __future__ import annotations

import pytest
from sqlalchemy.event import listens_for

from diagnose.advice.assessor import Assessor
from diagnose.case.events import Answered, Case, Complained, Corrected, Event, Noted, Rode, Told
from diagnose.diagnosis import Diagnosis, MovedOn
from diagnose.records.cases.case_book import CaseBook, KeptCase
from diagnose.records.cases.case_lists import CaseFilter, list_cases
from diagnose.records.cases.closing import close, reopen, weigh_closing
from diagnose.records.cases.entries import Assumed
from diagnose.records.cases.keeping import CaseKeeping, on_paper
from diagnose.records.store.store_problems import NotFound, StoreProblem, UnwritableStore
from diagnose.training.records.store_check import check_everything
from rules.units.quantities import Quantity
from tui.plain.plain_interview import PlainInterview


def kept_diagnosis(
    shop: Assessor, book: CaseBook, kept: KeptCase | None = None
) -> tuple[Diagnosis, CaseKeeping]:
    keeping = CaseKeeping(book, kept=kept)
    return Diagnosis(shop, keeping=keeping), keeping


def say(diagnosis: Diagnosis, *events: Event) -> None:
    """Add events and keep each."""
    for event in events:
        diagnosis.add(event)
        diagnosis.commit()


def test_every_event_is_in_the_store_when_commit_returns(
    book: CaseBook, mower_assessor: Assessor
) -> None:
    diagnosis, keeping = kept_diagnosis(mower_assessor, book)
    say(diagnosis, Complained("no-start"), Noted("x"))
    assert keeping.kept is not None
    for event in (
        Answered("tank-look", "fresh"),
        Answered("spark-seen"),
        Corrected("new-plug"),
        Rode("better"),
    ):
        say(diagnosis, event)
        assert book.read(keeping.kept.id).case == diagnosis.case
    diagnosis.undo()
    diagnosis.set_bike({"size": "large"}, {})
    diagnosis.commit()
    assert book.read(keeping.kept.id).case == diagnosis.case
    assert diagnosis.case.events[-1] == Corrected("new-plug")


def test_a_change_of_bike_is_taken_back_in_the_store_too(
    book: CaseBook, mower_assessor: Assessor
) -> None:
    diagnosis, _ = kept_diagnosis(mower_assessor, book)
    say(diagnosis, Complained("no-start"))
    diagnosis.set_bike({"size": "large"}, {"plug-gap": Quantity(0.7, "mm")})
    say(diagnosis, Answered("tank-look", "fresh"))
    for machine in ({"size": "large"}, {}):
        assert diagnosis.undo()
        diagnosis.commit()
        assert book.read(1).case.machine == machine
    assert book.read(1).case == diagnosis.case == Case(events=(Complained("no-start"),))


def test_a_change_of_an_earlier_answer_is_taken_back_in_the_store_too(
    book: CaseBook, mower_assessor: Assessor
) -> None:
    diagnosis, _ = kept_diagnosis(mower_assessor, book)
    say(diagnosis, Complained("no-start"), Answered("tank-look", "stale"), Noted("x"))
    diagnosis.change(1, Answered("tank-look", "fresh"))
    diagnosis.commit()
    diagnosis.undo()
    diagnosis.commit()
    assert book.read(1).case.events[1:] == (Answered("tank-look", "stale"), Noted("x"))


def test_on_a_full_disk_what_was_said_waits_and_is_kept_once_there_is_room(
    book: CaseBook, mower_assessor: Assessor
) -> None:
    diagnosis, _ = kept_diagnosis(mower_assessor, book)
    say(diagnosis, Complained("no-start"))
    # a database that may not grow answers as one on a full disk does
    limit = 60
    listens_for(book.store.engine, "begin")(
        lambda connection: connection.exec_driver_sql(f"PRAGMA max_page_count = {limit}")
    )
    with pytest.raises(UnwritableStore, match="the disk is full"):
        say(diagnosis, *(Noted(f"{number} {'x' * 400}") for number in range(10_000)))
    said = len(diagnosis.case.events)
    assert said > 20
    assert len(book.read(1).case.events) == said - 1
    limit = 5000
    say(diagnosis, Noted("room again"))
    assert book.read(1).case == diagnosis.case
    assert len(diagnosis.case.events) == said + 1
    check_everything(book.store, book.rules)


@pytest.mark.parametrize("first", [Answered("tank-look"), Corrected("fill-up"), Noted("x")])
def test_a_case_is_kept_from_its_first_answer_on(
    book: CaseBook, mower_assessor: Assessor, first: Event
) -> None:
    """Not for the complaint alone, the rider's words, who asks, or what the record says."""
    taken = Answered("plug-gap-reading", "ok")
    keeping = CaseKeeping(book, Case(events=(taken,)), assumed=[Assumed(rests_on="x", on="y")])
    diagnosis = Diagnosis(mower_assessor, keeping=keeping)
    say(diagnosis, Told("it is dead"), Complained("no-start"))
    assert list_cases(book.store, CaseFilter()).total == 0
    say(diagnosis, first)
    kept = book.read(1)
    assert kept.case == diagnosis.case
    assert kept.folded.said[0].assumed is not None
    assert (kept.folded.first_forecast is not None) == isinstance(first, Corrected)


def test_a_case_without_a_complaint_is_not_kept(book: CaseBook, mower_assessor: Assessor) -> None:
    diagnosis, _ = kept_diagnosis(mower_assessor, book)
    say(diagnosis, Noted("nothing yet"))
    with pytest.raises(NotFound):
        book.read(1)
    say(diagnosis, Complained("no-start"))
    assert book.read(1).case.events == (Noted("nothing yet"), Complained("no-start"))


def test_it_resumes_where_it_stopped(book: CaseBook, mower_assessor: Assessor) -> None:
    first, _ = kept_diagnosis(mower_assessor, book)
    say(first, Complained("no-start"), Answered("tank-look", "fresh"))
    again, _ = kept_diagnosis(mower_assessor, book, book.read(1))
    assert again.case == first.case
    assert again.assessment.step == first.assessment.step


def test_the_forecast_of_the_moment_is_kept_with_the_correction(
    book: CaseBook, mower_assessor: Assessor
) -> None:
    """Also where all of it is kept at once."""
    diagnosis, _ = kept_diagnosis(mower_assessor, book)
    diagnosis.add(Complained("no-start"), Answered("tank-look", "stale"))
    held = diagnosis.assessment.ranking.find("stale-fuel").probability
    diagnosis.add(Corrected("fill-up"), Rode("gone"))
    diagnosis.commit()
    forecast = book.read(1).folded.first_forecast
    assert forecast is not None
    assert forecast.chances["stale-fuel"] == pytest.approx(held, abs=1e-6)


def test_where_another_terminal_was_first_it_stands_where_that_one_left_it(
    book: CaseBook, mower_assessor: Assessor
) -> None:
    mine, _ = kept_diagnosis(mower_assessor, book)
    say(mine, Complained("no-start"), Noted("x"))
    theirs, _ = kept_diagnosis(mower_assessor, book, book.read(1))
    say(theirs, Answered("tank-look", "stale"))
    with pytest.raises(MovedOn) as news:
        say(mine, Answered("tank-look", "fresh"))
    assert news.value.lost == (Answered("tank-look", "fresh"),)
    assert mine.case == theirs.case
    say(mine, Noted("seen"))
    assert book.read(1).case == mine.case


def test_a_case_closed_elsewhere_is_not_closed_again(
    book: CaseBook, mower_assessor: Assessor
) -> None:
    mine, keeping = kept_diagnosis(mower_assessor, book)
    say(mine, Complained("no-start"), Corrected("fill-up"), Rode("gone"))
    seen = book.read(1)
    other = book.record(seen, seen.case.with_event(Noted("by the other")))
    closing = weigh_closing(book.rules, other)
    close(book, mower_assessor, other, closing)
    with pytest.raises(MovedOn) as news:
        keeping.rewrite(lambda kept: close(book, mower_assessor, kept, closing))
    assert news.value.theirs == (Noted("by the other"),)
    assert keeping.closed_as == closing.verdict.outcome
    assert keeping.rewrite(lambda kept: reopen(book, kept)).folded.closed is None


def test_the_plain_interview_goes_on_while_something_cannot_be_kept(
    book: CaseBook, mower_assessor: Assessor, monkeypatch: pytest.MonkeyPatch
) -> None:
    diagnosis, _ = kept_diagnosis(mower_assessor, book)
    real = book.begin
    failures = [StoreProblem("store.sqlite: the disk is full")]

    def begin(*args: object, **kwargs: object) -> object:
        if failures:
            raise failures.pop()
        return real(*args, **kwargs)  # type: ignore[arg-type]

    monkeypatch.setattr(book, "begin", begin)
    typed = iter(["dead", "1", "2", "2"])
    written: list[str] = []

    def read(prompt: str) -> str:
        line = next(typed, None)
        if line is None:
            raise EOFError
        return line

    PlainInterview(diagnosis, read, written.append).run()
    text = "\n".join(written)
    assert "NOT RECORDED YET: store.sqlite: the disk is full" in text
    assert text.count("Is there fresh fuel in the tank?\n  1") == 1
    assert book.read(1).case == diagnosis.case
    assert diagnosis.waiting == 0


def test_a_case_begun_elsewhere_is_not_changed_by_looking(
    book: CaseBook, mower_assessor: Assessor
) -> None:
    kept = book.begin(Case(events=(Complained("no-start"),)))
    diagnosis, _ = kept_diagnosis(mower_assessor, book, kept)
    assert diagnosis.assessment.step.kind
    diagnosis.commit()
    assert book.read(kept.id).version == kept.version


def test_on_paper_stands_what_waits_too(book: CaseBook, mower_assessor: Assessor) -> None:
    diagnosis, _ = kept_diagnosis(mower_assessor, book)
    diagnosis.add(Complained("no-start"), Noted("x"))
    assert on_paper(diagnosis, book.now()).id == 0
    diagnosis.commit()
    diagnosis.add(Noted("not kept yet"))
    paper = on_paper(diagnosis, book.now())
    assert (paper.id, paper.case) == (1, diagnosis.case)
    assert on_paper(Diagnosis(mower_assessor), book.now(), "Example").bike == "Example"
