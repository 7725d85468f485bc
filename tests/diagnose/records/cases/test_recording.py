"""Interviews that are kept."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from sqlalchemy import Connection, Engine
from sqlalchemy.event import listen, remove

from diagnose.case.events import Answered, Case, Complained, Corrected, Noted, Rode, read_answer
from diagnose.diagnosis import Workshop
from diagnose.records.cases.case_book import CaseBook
from diagnose.records.cases.recording import RecordedInterview
from diagnose.records.store.problems import Clash, NotFound, StoreProblem, UnwritableStore
from diagnose.training.records.store_check import check_everything
from rules.units.quantities import Quantity
from tui.plain.interview import PlainInterview


def test_every_event_is_in_the_store_when_add_returns(book: CaseBook, mower_shop: Workshop) -> None:
    interview = RecordedInterview(mower_shop, book)
    interview.add(Complained("no-start"))
    assert interview.kept is not None
    for event in (
        Answered("tank-look", "fresh"),
        Answered("spark-seen"),
        Corrected("new-plug"),
        Rode("better"),
    ):
        interview.add(event)
        assert book.read(interview.kept.id).case == interview.case
    interview.back()
    interview.case = interview.case.with_machine("size", "large")
    assert book.read(interview.kept.id).case == interview.case
    assert interview.case.events[-1] == Corrected("new-plug")


def test_a_change_of_machine_is_taken_back_in_the_store_too(
    book: CaseBook, mower_shop: Workshop
) -> None:
    interview = RecordedInterview(mower_shop, book)
    interview.add(Complained("no-start"))
    interview.case = interview.case.on_machine({"size": "large"}, {"plug-gap": Quantity(0.7, "mm")})
    assert book.read(1).case.machine == {"size": "large"}
    interview.add(Answered("tank-look", "fresh"))
    assert interview.back()
    assert book.read(1).case.machine == {"size": "large"}
    assert interview.back()
    assert book.read(1).case == interview.case == Case(events=(Complained("no-start"),))


@contextmanager
def pages_at_most(count: int) -> Iterator[None]:
    """A database that may not grow answers as one on a full disk does."""

    def hold(connection: Connection) -> None:
        connection.exec_driver_sql(f"PRAGMA max_page_count = {count}")

    listen(Engine, "begin", hold)
    yield
    remove(Engine, "begin", hold)


def test_on_a_full_disk_the_interview_stands_where_the_store_does(
    book: CaseBook, mower_shop: Workshop
) -> None:
    interview = RecordedInterview(mower_shop, book)
    interview.add(Complained("no-start"))

    def fill() -> None:
        for number in range(10_000):
            interview.add(Noted(f"{number} {'x' * 400}"))

    with pages_at_most(60):
        with pytest.raises(UnwritableStore, match="the disk is full"):
            fill()
        assert len(interview.case.events) > 20
        assert book.read(1).case == interview.case
    with pages_at_most(5000):
        interview.add(Noted("room again"))
    assert book.read(1).case == interview.case
    check_everything(book.store, book.rules)


def test_a_case_without_a_complaint_is_not_kept(book: CaseBook, mower_shop: Workshop) -> None:
    interview = RecordedInterview(mower_shop, book)
    interview.add(Noted("nothing yet"))
    with pytest.raises(NotFound):
        book.read(1)
    interview.add(Complained("no-start"))
    assert book.read(1).case.events == (Noted("nothing yet"), Complained("no-start"))


def test_it_resumes_where_it_stopped(book: CaseBook, mower_shop: Workshop) -> None:
    first = RecordedInterview(mower_shop, book)
    first.add(Complained("no-start"))
    first.add(Answered("tank-look", "fresh"))
    again = RecordedInterview(mower_shop, book, kept=book.read(1))
    assert again.case == first.case
    assert again.assessment.step == first.assessment.step


def test_the_forecast_of_the_moment_is_kept_with_the_correction(
    book: CaseBook, mower_shop: Workshop
) -> None:
    interview = RecordedInterview(mower_shop, book)
    interview.add(Complained("no-start"))
    interview.add(Answered("tank-look", "stale"))
    held = interview.assessment.ranking.find("stale-fuel").probability
    interview.add(Corrected("fill-up"))
    forecast = book.read(1).folded.first_forecast
    assert forecast is not None
    assert forecast.chances["stale-fuel"] == pytest.approx(held, abs=1e-6)


def test_after_a_clash_the_interview_stands_where_the_other_terminal_left_it(
    book: CaseBook, mower_shop: Workshop
) -> None:
    mine = RecordedInterview(mower_shop, book)
    mine.add(Complained("no-start"))
    theirs = RecordedInterview(mower_shop, book, kept=book.read(1))
    theirs.add(read_answer(mower_shop.rules, "tank-look", "stale"))
    with pytest.raises(Clash):
        mine.add(read_answer(mower_shop.rules, "tank-look", "fresh"))
    assert mine.case == theirs.case
    mine.add(Noted("seen"))
    assert book.read(1).case == mine.case


def test_the_plain_interview_says_what_was_not_recorded_and_asks_again(
    book: CaseBook, mower_shop: Workshop, monkeypatch: pytest.MonkeyPatch
) -> None:
    interview = RecordedInterview(mower_shop, book)
    real = book.record
    failures = [StoreProblem("store.sqlite: the disk is full")]

    def record(*args: object, **kwargs: object) -> object:
        if failures:
            raise failures.pop()
        return real(*args, **kwargs)  # type: ignore[arg-type]

    monkeypatch.setattr(book, "record", record)
    typed = iter(["dead", "1", "2", "2"])
    written: list[str] = []

    def read(prompt: str) -> str:
        line = next(typed, None)
        if line is None:
            raise EOFError
        return line

    PlainInterview(interview, read, written.append).run()
    text = "\n".join(written)
    assert "NOT RECORDED: store.sqlite: the disk is full" in text
    assert text.count("Is there fresh fuel in the tank?\n  1") == 2
    assert book.read(1).case == interview.case
    assert interview.case.events[-1] == Answered("tank-look", "stale")


def test_a_case_begun_elsewhere_is_not_changed_by_looking(
    book: CaseBook, mower_shop: Workshop
) -> None:
    kept = book.begin(Case(events=(Complained("no-start"),)))
    interview = RecordedInterview(mower_shop, book, kept=kept)
    assert interview.assessment.step.kind
    assert book.read(kept.id).version == kept.version
