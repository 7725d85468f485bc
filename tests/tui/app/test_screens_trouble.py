"""A store that cannot be opened or written: said in words, and nothing said is lost."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import text

from diagnose.advice.assessor import Assessor
from diagnose.case.events import Answered, Complained, Corrected, Noted, Rode
from diagnose.case.files import load_case
from diagnose.records.cases.case_book import CaseBook
from diagnose.records.store.opening import open_store
from diagnose.records.store.place import at_path
from diagnose.records.store.store import Store
from diagnose.records.store.store_problems import UnwritableStore
from diagnose.training.records.store_check import check_everything
from rules.rulebase import RuleBase
from tests.places import ROOT
from tui.app.app import BadRideApp

OpenShop = Callable[[], Store]
FULL = "the disk is full, and nothing more was written"


@pytest.fixture
def full_disk(monkeypatch: pytest.MonkeyPatch) -> Callable[[bool], None]:
    """`full_disk(True)`: from now on nothing can be added to a store."""
    add, begin = CaseBook.append, CaseBook._begin
    full: list[str] = []

    def checked(real: Any) -> Any:
        def work(*given: Any, **more: Any) -> Any:
            if full:
                raise UnwritableStore(FULL)
            return real(*given, **more)

        return work

    monkeypatch.setattr(CaseBook, "append", checked(add))
    monkeypatch.setattr(CaseBook, "_begin", checked(begin))

    def turn(is_full: bool) -> None:
        full[:] = [FULL] if is_full else []

    return turn


async def test_what_a_full_disk_refuses_waits_and_is_kept_in_order(
    open_app: Any,
    mower_assessor: Assessor,
    open_shop: OpenShop,
    full_disk: Callable[[bool], None],
) -> None:
    """The interview goes on, every screen says what is missing, and the next answer takes it along:
    the forecast still stands before the correction."""
    book = CaseBook(open_shop(), mower_assessor.rules)
    async with open_app(mower_assessor, open_store=open_shop) as driver:
        await driver.press("enter", "enter", "1", "enter", "enter", "j", "x", "enter")
        full_disk(True)
        await driver.press("3")
        assert driver.screen == "PickScreen"
        assert FULL in driver.text()
        await driver.press("1", "f")
        assert driver.screen == "InterviewScreen"
        assert f"NOT KEPT YET (2): {FULL}" in driver.text()
        await driver.press("k")
        assert "NOT KEPT YET (2)" in driver.text()
        assert "Fill with fresh fuel." in driver.card()
        await driver.press("f")
        assert any("closed once everything said is kept" in words for words in driver.said)
        await driver.press("escape")
        assert book.read(1).case.events == (Complained("no-start"), Noted("x"))
        full_disk(False)
        await driver.press("1")
        assert "NOT KEPT YET" not in driver.text()
        assert "It is kept now; nothing is missing." in driver.said
    kept = book.read(1)
    assert kept.case.events[1:] == (
        Noted("x"),
        Answered("tank-look", "empty"),
        Corrected("fill-up"),
        Rode("gone"),
    )
    assert kept.folded.first_forecast is not None


async def test_leaving_with_something_not_kept_is_asked_about(
    open_app: Any,
    mower_assessor: Assessor,
    open_shop: OpenShop,
    full_disk: Callable[[bool], None],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Even of a case that could not be begun at all: try again, or write it to a file."""
    monkeypatch.chdir(tmp_path)
    full_disk(True)
    async with open_app(mower_assessor, open_store=open_shop) as driver:
        await driver.press("enter", "enter", "1", "enter", "enter", "3")
        assert "Not kept yet" in driver.text()
        await driver.press("2")
        assert driver.screen == "InterviewScreen"
        assert f"Still not kept: {FULL}" in driver.said
        await driver.press("escape", "q")
        assert "Not everything is kept" in driver.text()
        await driver.press("1")
        assert "Not everything is kept" in driver.text()
        await driver.press("2", "enter")
        assert driver.app.return_code == 0
        case = driver.case
    assert load_case(mower_assessor.rules, tmp_path / "case.yaml").events == case.events


async def test_what_waits_is_kept_by_itself_once_there_is_room(
    open_app: Any,
    mower_assessor: Assessor,
    open_shop: OpenShop,
    full_disk: Callable[[bool], None],
) -> None:
    book = CaseBook(open_shop(), mower_assessor.rules)
    async with open_app(mower_assessor, open_store=open_shop) as driver:
        full_disk(True)
        await driver.press("enter", "enter", "1", "enter", "enter", "j", "x", "enter", "1")
        full_disk(False)
        driver.app.try_again()
        await driver.settle()
        assert "NOT KEPT YET" not in driver.text()
        assert book.read(1).case.events == (Complained("no-start"), Noted("x"))
        await driver.press("escape", "q")
        assert driver.app.return_code == 0


def torn(path: Path) -> None:
    path.write_bytes(path.read_bytes()[:1000] + b"torn" * 900)


def newer(path: Path) -> None:
    store = open_store(at_path(path), lambda: datetime.now(UTC))
    with store.writing() as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    store.close()


@pytest.mark.parametrize(
    ("spoil", "words"), [(torn, "torn or is no badride store"), (newer, "a newer badride wrote")]
)
async def test_a_store_that_cannot_be_used_is_left_alone(
    open_app: Any,
    mower_assessor: Assessor,
    open_shop: OpenShop,
    spoil: Callable[[Path], None],
    words: str,
) -> None:
    """What and where; then on without it, if the person says so."""
    store = open_shop()
    path = store.place.path
    assert path is not None
    store.close()
    spoil(path)
    spoilt = path.read_bytes()
    async with open_app(mower_assessor, open_store=open_shop) as driver:
        assert "Bikes and cases cannot be kept" in driver.text()
        shown = "".join(driver.text().replace("│", "").split())
        assert words.replace(" ", "") in shown
        assert str(path) in shown
        await driver.press("1")
        assert "cannot be kept" in driver.text()
        await driver.press("2")
        assert "Nothing is kept" in driver.text()
        await driver.press("enter", "enter", "1", "enter", "enter", "1", "escape", "c")
        assert "Cases, all: 1" in driver.text()
    assert path.read_bytes() == spoilt


async def test_a_folder_that_cannot_be_made_ends_the_program_if_wanted(
    open_app: Any, mower_assessor: Assessor, tmp_path: Path
) -> None:
    """Keys typed before are not taken for a choice."""
    (tmp_path / "file").write_text("", encoding="utf-8")
    place = at_path(tmp_path / "file" / "store.sqlite")

    gate = threading.Event()

    def open_it() -> Store:
        gate.wait(10)
        return open_store(place, lambda: datetime.now(UTC), create=True)

    app = BadRideApp(lambda: mower_assessor, open_store=open_it)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("3", "2", "1")
        gate.set()
        await app.settled()
        assert type(app.screen).__name__ == "PickScreen"
        await pilot.press("3")
        await pilot.pause()
    assert app.return_code == 2


def kill_one(path: Path, questions: int, seconds: float) -> int:
    """Run the app in a process of its own and kill it some time after it has shown so many
    questions. Returns how many events the case had when a question was shown last."""
    code = [sys.executable, "-m", "tests.tui.app.answering_app", str(path)]
    with subprocess.Popen(code, cwd=ROOT, stdout=subprocess.PIPE, text=True) as running:
        assert running.stdout is not None
        shown = [int(running.stdout.readline()) for _ in range(questions)]
        time.sleep(seconds)
        os.kill(running.pid, signal.SIGKILL)
        shown += [int(line) for line in running.stdout.read().split("\n")[:-1]]
    return shown[-1]


def killed_apps(path: Path, rules: RuleBase, times: int) -> int:
    """Kill as many apps; every event that a next question was shown after must be there."""
    events = 0
    for number in range(1, times + 1):
        # the start, the first question, and one after the answer from which on a case is kept
        shown = kill_one(path, 3 + number % 5, 0.013 * number)
        store = open_store(at_path(path), lambda: datetime.now(UTC))
        there = len(CaseBook(store, rules).read(number).case.events)
        assert shown <= there <= shown + 1
        check_everything(store, rules)
        store.close()
        events += shown
    return events


def test_an_app_that_is_killed_has_kept_what_was_answered(tmp_path: Path, mower: RuleBase) -> None:
    assert killed_apps(tmp_path / "store.sqlite", mower, 1) > 0


@pytest.mark.long
def test_apps_killed_again_and_again_lose_nothing(tmp_path: Path, mower: RuleBase) -> None:
    assert killed_apps(tmp_path / "store.sqlite", mower, 10) > 10


async def test_what_another_terminal_overtook_is_asked_about_before_leaving(
    open_app: Any,
    mower_assessor: Assessor,
    open_shop: OpenShop,
    full_disk: Callable[[bool], None],
) -> None:
    """It is not called kept, and the program does not end over it."""
    book = CaseBook(open_shop(), mower_assessor.rules)
    async with open_app(mower_assessor, open_store=open_shop) as driver:
        await driver.press("enter", "enter", "1", "enter", "enter", "j", "x", "enter")
        full_disk(True)
        await driver.press("3")
        assert driver.screen == "PickScreen"
        await driver.press("1")
        full_disk(False)
        kept = book.read(1)
        book.record(kept, kept.case.with_event(Noted("by the other")))
        await driver.press("ctrl+q")
        await driver.settle()
        assert "moved on at another terminal" in driver.text()
        assert "It is kept now; nothing is missing." not in driver.said
        await driver.press("2")
        assert driver.screen == "InterviewScreen"
    events = book.read(1).case.events
    assert events[1:] == (Noted("x"), Noted("by the other"), Answered("tank-look", "empty"))
